"""What the files themselves say at a place, read anew: PyYAML's node tree and a small reader of quantities.

Shares no code with the program. It reads what the sample cases use: amounts with a unit, ``a..b``, ``a to b``,
``about``, ``at least``, ``at most``, words with ``|`` or ``or``, AWG and auto cable. Anything else is refused, and
counted by whoever asks.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

import yaml

UNITS = {
    "current": {"A": 1, "mA": 1e-3, "kA": 1e3},
    "voltage": {"V": 1, "mV": 1e-3},
    "power": {"W": 1, "kW": 1e3},
    "charge": {"Ah": 1},
    "energy": {"Wh": 1, "kWh": 1e3},
    "resistance": {"ohm": 1, "mohm": 1e-3, "kohm": 1e3, "Mohm": 1e6},
    "length": {"m": 1, "mm": 1e-3, "cm": 1e-2},
    "area": {"mm2": 1},
    "temperature": {"C": 1},
    "temperature_difference": {"K": 1},
    "ratio": {"%": 1e-2},
    "time": {"s": 1, "ms": 1e-3, "min": 60, "h": 3600, "day": 86400, "days": 86400, "years": 365.25 * 86400},
    "ratio_per_kelvin": {"%/K": 1e-2, "1/K": 1},
    "voltage_per_kelvin": {"mV/K": 1e-3, "V/K": 1},
    "irradiance": {"W/m2": 1},
    "charge_rate": {"C": 1, "C-rate": 1},
    "frequency": {"Hz": 1},
    "volume": {"l": 1},
    "mass": {"kg": 1, "g": 1e-3},
    "torque": {"N.m": 1},
}
AUTO = {"2.5": 0.64, "3": 1.13, "4": 1.84, "5": 2.90, "6": 4.59}
"""Copper in mm2 of auto cable by its outer diameter in mm: AU cable conversion table (web page, no year)."""
ORIGINS = {"measured", "seen", "label", "manual", "display", "said", "assumed", "supposed"}
UNKNOWN = {"unknown", "not known", "don't know", "?"}
_AMOUNT = re.compile(r"([+-]?\d+(?:[.,]\d+)?)\s*(\D.*)?")


class CannotRead(ValueError):
    """What this small reader does not understand."""


class NothingThere(ValueError):
    """A place of a file at which nothing stands."""


@dataclass(frozen=True)
class Place:
    """A scalar of a file: the names that lead to it, and its text from the asked column on."""

    keys: tuple[str, ...]
    text: str
    inside: bool
    """True where the place lies within a longer text (one size of a chain)."""


@cache
def tree(path: Path) -> yaml.Node:
    """The node tree of a file."""
    made = yaml.compose(path.read_text(encoding="utf-8"))
    assert made is not None
    return made


@cache
def plain(path: Path) -> dict:
    """The file as names and texts: every scalar is the text that was written."""
    return yaml.load(path.read_text(encoding="utf-8"), yaml.BaseLoader)


@cache
def _scalars(path: Path) -> tuple[tuple[yaml.ScalarNode, tuple[str, ...]], ...]:
    def walk(node: yaml.Node, keys: tuple[str, ...]) -> Iterator[tuple[yaml.ScalarNode, tuple[str, ...]]]:
        if isinstance(node, yaml.MappingNode):
            for key, value in node.value:
                if not isinstance(value, yaml.ScalarNode):
                    yield key, (*keys, key.value)
                yield from walk(value, (*keys, key.value))
        elif isinstance(node, yaml.SequenceNode):
            for number, value in enumerate(node.value):
                yield from walk(value, (*keys, str(number)))
        else:
            yield node, keys

    return tuple(walk(tree(path), ()))


@cache
def _mappings(path: Path) -> tuple[tuple[yaml.Node, tuple[str, ...]], ...]:
    """The mappings within lists: a run written long."""
    top = tree(path)
    assert isinstance(top, yaml.MappingNode)
    return tuple(
        (entry, (key.value, str(number)))
        for key, value in top.value
        if isinstance(value, yaml.SequenceNode)
        for number, entry in enumerate(value.value)
        if isinstance(entry, yaml.MappingNode)
    )


@cache
def at(path: Path, line: int, column: int) -> Place:
    """The scalar at a line and column counted from 1. Raises NothingThere.

    A chain holds its sizes and lengths in one text: the raw line then speaks. A part stands where its name stands, a
    run written long where its mapping begins.
    """
    for node, keys in _mappings(path):
        if (node.start_mark.line, node.start_mark.column) == (line - 1, column - 1):
            return Place(keys, "", False)
    for node, keys in _scalars(path):
        start, end = node.start_mark, node.end_mark
        if (start.line, start.column) == (line - 1, column - 1):
            return Place(keys, node.value, False)
        if start.line == end.line == line - 1 and start.column < column - 1 < end.column:
            text = node.start_mark.buffer or path.read_text(encoding="utf-8")
            return Place(keys, text.splitlines()[line - 1][column - 1 : end.column].rstrip("\"'"), True)
    raise NothingThere(f"nothing stands at {path}:{line}:{column}")


def first(text: str) -> str:
    """The first of several statements parted by commas (a decimal comma has no space behind it)."""
    return re.split(r",\s+(?![^(]*\))", text)[0].strip()


def origin(text: str) -> tuple[str, str]:
    """A short statement as value and origin, the origin empty where none is named."""
    match = re.fullmatch(r"(.*?)\s*\(([^()]*)\)", text.strip())
    if match and match[2].split() and match[2].split()[0] in ORIGINS:
        return match[1].strip(), match[2].split()[0]
    return text.strip(), ""


def span(text: str, dimension: str) -> tuple[float, float]:
    """The range of a quantity; an open end is infinite. Raises CannotRead."""
    text = text.strip()
    for word, low in (("at least ", True), ("over ", True), ("at most ", False), ("under ", False)):
        if text.startswith(word):
            lo, hi = span(text.removeprefix(word), dimension)
            return (lo, math.inf) if low else (-math.inf, hi)
    if text.startswith("about "):
        lo, hi = span(text.removeprefix("about "), dimension)
        if dimension == "temperature":
            return lo - 5, hi + 5
        return lo * 0.85, hi * 1.15
    ends = re.split(r"\s*\.\.\s*|\s+to\s+|\s+or\s+", text)
    if len(ends) == 1:
        value = _one(text, dimension)
        return value, value
    if len(ends) != 2:
        raise CannotRead(text)
    last = _AMOUNT.fullmatch(ends[1])
    if last is None:
        raise CannotRead(text)
    head = ends[0] if _AMOUNT.fullmatch(ends[0]) and _AMOUNT.fullmatch(ends[0])[2] else f"{ends[0]} {last[2] or ''}"
    return _one(head, dimension), _one(ends[1], dimension)


def _one(text: str, dimension: str) -> float:
    text = text.strip()
    if dimension == "area":
        gauge = re.fullmatch(r"(\d+)(/0)? AWG", text)
        if gauge:
            number = 1 - int(gauge[1]) if gauge[2] else int(gauge[1])
            return math.pi / 4 * (0.127 * 92 ** ((36 - number) / 39)) ** 2
        auto = re.fullmatch(r"([\d.]+) mm auto", text)
        if auto:
            return AUTO[auto[1]]
    match = _AMOUNT.fullmatch(text)
    if match is None:
        raise CannotRead(text)
    number, unit = Fraction(match[1].replace(",", ".")), (match[2] or "").strip()
    if dimension in ("count", "", "ratio") and not unit:
        return float(number)
    if unit not in UNITS.get(dimension, {}):
        raise CannotRead(f"{text} as {dimension}")
    return float(number * Fraction(str(UNITS[dimension][unit])))


def words(text: str) -> frozenset[str]:
    """The words of a choice."""
    return frozenset(each.strip() for each in re.split(r"\s*\|\s*|\s+or\s+", text))


def same_word(one: str) -> str:
    """A word as forms spell it."""
    return one.strip().replace("_", " ").casefold()
