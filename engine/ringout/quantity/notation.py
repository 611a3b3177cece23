"""Quantities as people write them: "about 4 m", "3..5 m", "at least 200 Ah", "35 or 50 mm2", "unknown".

The grammar: [about] range {or range}, or at least / at most one quantity. A range is one quantity, two with
"..", "to" or a dash between them, or one with "+/-" and a tolerance. A bare number takes the unit that
follows it. What has two honest readings is refused with both.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from ringout.quantity.amount import Reading, read_amount, read_tolerance, unit_of
from ringout.quantity.conductor import EXPECTED as A_SIZE
from ringout.quantity.conductor import read_conductor, without_noun
from ringout.quantity.printed import format_value
from ringout.quantity.refusal import Ambiguous, NotUnderstood
from ringout.quantity.span import Span
from ringout.quantity.unit import DIMENSIONS, Dimension, dimension_named
from ringout.text.problem import shown

__all__ = ["Ambiguous", "NotUnderstood", "Written", "parse", "parse_size"]

ABOUT = Fraction(15, 100)
ABOUT_NOTE = "about: 15 % either side, common practice, no source"
ABOUT_KELVIN = Fraction(5)
ABOUT_KELVIN_NOTE = "about: 5 K either side, common practice, no source"

LONGEST = 100  # characters; no quantity needs more

_NOT_KNOWN = {"unknown", "not known", "don't know", "dont know", "?"}
# One character for one, so that columns stay true.
_SAME = str.maketrans({"−": "-", "’": "'", "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\t": " "})
_ABOUT = re.compile(r"(?:about|around|roughly|approximately|approx\.?)\s+|[~≈]\s*", re.IGNORECASE)
_AT_LEAST = re.compile(r"(?:at least|over|more than|above)\s+|(?:>=|>|≥)\s*", re.IGNORECASE)
_AT_MOST = re.compile(r"(?:at most|under|less than|below|up to)\s+|(?:<=|<|≤)\s*", re.IGNORECASE)
_OR = re.compile(r"\s+or\s+", re.IGNORECASE)
# A plain dash only between two numbers ("4-5 m", "4 - 5 m"): in "4 -5 m" it could be a minus.
_TO = re.compile(r"\s*(?:\.\.|…|–|—)\s*|\s+to\s+|(?<=[0-9])(?:-| - )(?=[0-9])", re.IGNORECASE)
_PLUS_MINUS = re.compile(r"\s*(?:±|\+\s*/?\s*-)\s*")
_BARE = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+|/[0-9]+)?")
_DASHED_NOUGHT = re.compile(r"([1-4])\s*-\s*0(?![0-9.,])")


@dataclass(frozen=True, slots=True)
class Written:
    """A quantity as understood (in the inside unit), as written, and what was taken for granted."""

    domain: Span
    text: str
    note: str


@lru_cache(maxsize=2048)  # an installation says the same thing of many parts
def parse(text: str, dimension: str) -> Written | None:
    """Read a quantity of that dimension into its inside unit; None for "unknown".

    Open ends are infinite. Raises NotUnderstood, or Ambiguous with every reading, for what was written;
    ValueError when there is no such dimension.
    """
    kind = dimension_named(dimension)
    if kind.name == "area":  # the only areas of this trade are those of conductors
        return parse_size(text)
    expected = f"{kind.words} such as {kind.example}"
    return _Grammar(kind, expected, lambda part, at: read_amount(part, at, kind)).read(text)


def parse_size(text: str) -> Written | None:
    """Read a conductor size into mm2 of copper; None for "unknown".

    Understands areas, AWG, B&S, SAE, auto cable and strand counts. Raises as `parse` does.
    """
    return _Grammar(DIMENSIONS["area"], A_SIZE, _one_size, of_sizes=True).read(text)


def _one_size(text: str, at: int) -> Reading:
    copper = read_conductor(text, at)
    if copper:
        return Reading(Fraction(copper.area.lo), Fraction(copper.area.hi), (copper.note,))
    try:
        area = read_amount(without_noun(text), at, DIMENSIONS["area"])
    except Ambiguous:
        raise
    except NotUnderstood as refusal:
        raise NotUnderstood(A_SIZE, refusal.found, refusal.offset) from None
    if area.lo <= 0:
        raise NotUnderstood("a copper area above 0", shown(text), at)
    return area


_Part = tuple[str, int]
"""Some text and the column where it begins."""


@dataclass(frozen=True, slots=True)
class _Grammar:
    """The grammar over one way of reading a single quantity."""

    kind: Dimension
    expected: str
    one: Callable[[str, int], Reading]
    of_sizes: bool = False

    def read(self, text: str) -> Written | None:
        if len(text) > LONGEST:
            raise NotUnderstood(self.expected, f"{shown(text)}, {len(text)} characters long", LONGEST)
        same = text.translate(_SAME)
        body, at = same.strip(), len(same) - len(same.lstrip())
        if not body:
            raise NotUnderstood(self.expected, "nothing", 0)
        if body.lower() in _NOT_KNOWN:
            return None
        if match := _AT_LEAST.match(body) or _AT_MOST.match(body):
            start = match.end()
            reading = self._possible(self.one(body[start:], at + start), body, at)
            least = _AT_LEAST.match(body)
            domain = Span(float(reading.lo), math.inf) if least else Span(-math.inf, float(reading.hi))
            return Written(domain, text, "; ".join(reading.notes))
        about = _ABOUT.match(body)
        start = about.end() if about else 0
        reading = self._alternatives((body[start:], at + start))
        if about:
            reading = self._about(reading, body, at)
        reading = self._possible(reading, body, at)
        return Written(Span(float(reading.lo), float(reading.hi)), text, "; ".join(reading.notes))

    def _possible(self, reading: Reading, body: str, at: int) -> Reading:
        if reading.lo < self.kind.least:
            least = format_value(self.kind.least, self.kind.name)
            raise NotUnderstood(f"{self.kind.words} of at least {least}", shown(body), at)
        return reading

    def _about(self, reading: Reading, body: str, at: int) -> Reading:
        if self.kind.name == "temperature":  # 15 % of a Celsius figure has no meaning
            return reading.widened(ABOUT_KELVIN, ABOUT_KELVIN, ABOUT_KELVIN_NOTE)
        if reading.lo == reading.hi == 0:
            raise NotUnderstood("a range: 'about' nought has no width", shown(body), at)
        return reading.widened(abs(reading.lo) * ABOUT, abs(reading.hi) * ABOUT, ABOUT_NOTE)

    def _alternatives(self, part: _Part) -> Reading:
        """ "35 or 50 mm2": the range that holds them all, read from the end, where the unit stands."""
        *before, last = _split(_OR, part)
        reading, unit = self._range(last, "")
        for earlier in reversed(before):
            this, unit = self._range(earlier, unit)
            reading = this.hull(reading)
        return reading

    def _range(self, part: _Part, unit: str) -> tuple[Reading, str]:
        """The reading, and the unit that a bare number before it takes."""
        text, at = part
        if _PLUS_MINUS.search(text):
            return self._toleranced(part, unit)
        if self.of_sizes and (dashed := _DASHED_NOUGHT.match(text)):
            size = dashed[1]
            raise Ambiguous(shown(text), at, (shown(f"{size}/0"), shown(f"{size} to 0")))
        ends = _split(_TO, part)
        if len(ends) > 2:
            raise NotUnderstood("a range with two ends", shown(text), ends[2][1])
        readings = []
        for end, start in reversed(ends):
            end, unit = _with_unit(end, unit)
            readings.append(self.one(end, start))
        # Gauge numbers fall as the copper grows, so of two sizes either may come first.
        if not self.of_sizes and readings[-1].lo > readings[0].hi:
            raise NotUnderstood("a range with its smaller end first", shown(text), at)
        return readings[-1].hull(readings[0]), unit

    def _toleranced(self, part: _Part, unit: str) -> tuple[Reading, str]:
        text = part[0]
        sides = _split(_PLUS_MINUS, part)
        if len(sides) > 2:
            raise NotUnderstood("one tolerance", shown(text), sides[2][1])
        (middle, start), (tolerance, where) = sides
        ratio = DIMENSIONS["ratio"]
        percent = ratio.find(unit_of(tolerance)) is not None
        if percent and self.kind.name == "temperature":
            raise NotUnderstood("a tolerance in C or K", shown(tolerance), where)
        if not percent or self.kind is ratio:
            unit = unit_of(tolerance)
        middle, unit = _with_unit(middle, unit)
        reading = self.one(middle, start)
        if not percent:
            stray = read_tolerance(tolerance, where, self.kind)
            return reading.widened(stray, stray), unit
        share = read_tolerance(tolerance, where, ratio)
        if self.kind is ratio:
            points = reading.widened(share, share)
            scaled = reading.widened(abs(reading.lo) * share, abs(reading.hi) * share)
            raise Ambiguous(shown(text), where, (_percent(points), _percent(scaled)))
        return reading.widened(abs(reading.lo) * share, abs(reading.hi) * share), unit


def _split(pattern: re.Pattern[str], part: _Part) -> list[_Part]:
    text, at = part
    starts = [0, *(match.end() for match in pattern.finditer(text))]
    ends = [*(match.start() for match in pattern.finditer(text)), len(text)]
    return [(text[start:end], at + start) for start, end in zip(starts, ends, strict=True)]


def _with_unit(text: str, unit: str) -> tuple[str, str]:
    """The quantity with its unit, and that unit: its own, or for a bare number the one that follows."""
    if _BARE.fullmatch(text):
        return f"{text} {unit}".rstrip(), unit
    return text, unit_of(text)


def _percent(reading: Reading) -> str:
    return f"{float(reading.lo * 100):g} to {float(reading.hi * 100):g} %"
