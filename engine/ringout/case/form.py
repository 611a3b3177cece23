"""Forms: which fields a kind of part (or a place, a habit, a run) may state, read from `rules/`.

A form is the one place that says a field's unit or words, the widest plausible range of an unknown value and
its source, the question that asks for it, and who may look.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from pydantic import Field as Key

from ringout.kept import kept, remembered
from ringout.quantity.notation import NotUnderstood, parse
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.unit import DIMENSIONS
from ringout.shipped import rules_root
from ringout.text.checked import OneOf, Strict, Whole, Words, YesNo, validate
from ringout.text.document import read
from ringout.text.problem import Problem, Unusable, did_you_mean, dotted, shown

JOINS = ("pair", "through", "ac_takes", "ac_gives", "ac_through", "ac_selects")
ACCESS = ("bare_hand", "tool", "instrument", "licensed")
WHERE = ("label", "manual", "reading", "seen", "display", "asked", "computed")


@dataclass(frozen=True, slots=True)
class SpeaksOf:
    """A field of a part that a kind of reading speaks of, where it was read at a part that acts in one of `of`.

    `state` holds phrases of which the state has to have one ("{part}" is the part itself, a load named among the
    loads counts as running), `points` words of which the points have to have one, `words` what a word read is called
    in the field (all as they are where it is empty). `worse`, of an instrument's test of a protective measure: the
    word, or `more`, that counts as soon as it was read; `worse_only` where nothing else of it counts. `power` names the
    field that states the same in watts.
    """

    field: str
    of: frozenset[str]
    state: tuple[str, ...] = ()
    points: tuple[str, ...] = ()
    words: tuple[tuple[str, str], ...] = ()
    worse: str = ""
    worse_only: bool = False
    power: str = ""


@dataclass(frozen=True, slots=True)
class Field:
    """One field: exactly one of a quantity, a choice of words, a count, names of parts, or free text."""

    name: str
    dimension: str = ""
    options: tuple[str, ...] = ()
    bounds: Span | None = None
    bounds_source: str = ""
    parts: str = ""
    free_text: bool = False
    ask: str = ""
    where: str = ""
    minutes: int = 2
    access: str = "bare_hand"
    means: str = ""
    said_clears: bool = True
    """Whether the mere word of the owner counts; never where only a licensed person can find out."""
    agrees: float = 0.0
    """Of a kind of reading: the part of the larger by which two readings of one thing may differ."""
    speaks_of: tuple[SpeaksOf, ...] = ()
    """Of a kind of reading: the fields of parts that it speaks of."""
    drifts: bool = True
    """Whether a value may be a little more or less than stated; not so the volts that a system is built for."""

    @property
    def widest(self) -> Domain:
        """The domain of an unknown value. Free text and names of parts have none."""
        if self.options:
            return _any_of(self.options)
        if self.bounds is None:
            raise LookupError(f"{self.name} is no value")
        return self.bounds


@functools.cache
def _any_of(options: tuple[str, ...]) -> Choice:
    return Choice(frozenset(options))


@dataclass(frozen=True, slots=True)
class Form:
    """The fields of one kind, its roles in the system and its ports (name -> how it joins)."""

    kind: str
    words: str
    roles: frozenset[str]
    ports: dict[str, str]
    fields: dict[str, Field]

    def port(self, *joins: str) -> str | None:
        """The first port that joins in one of the given ways."""
        for name, how in self.ports.items():
            if how in joins:
                return name
        return None


class _Agrees(Strict):
    within: str
    source: str


class _SpeaksOf(Strict):
    field: str
    of: Words
    state: Words = ()
    points: Words = ()
    words: dict[str, str] = Key(default_factory=dict)
    worse: str = ""
    worse_only: YesNo = False
    power: str = ""


class _FieldLine(Strict):
    quantity: str = ""
    choice: Words = ()
    count: str = ""
    parts: str = ""
    text: YesNo = False
    bounds: str = ""
    bounds_source: str = ""
    ask: str = ""
    where: Annotated[str, OneOf(WHERE)] = "seen"
    minutes: Whole = 2
    access: Annotated[str, OneOf(ACCESS)] = "bare_hand"
    means: str = ""
    said_clears: YesNo = True
    agrees: _Agrees | None = None
    speaks_of: list[_SpeaksOf] = Key(default_factory=list)
    drifts: YesNo = True


class _PortLine(Strict):
    joins: Annotated[str, OneOf(JOINS)]


class _FormFile(Strict):
    kind: str
    words: str = ""
    roles: Words = ()
    ports: dict[str, _PortLine] = Key(default_factory=dict)
    fields: dict[str, _FieldLine] = Key(default_factory=dict)


@remembered
def form(kind: str) -> Form:
    """The form of a part kind; fields of any part (and of any AC consumer) are added to its own.

    Raises KeyError for an unknown kind and Unusable for a faulty form file.
    """
    own = _forms()["parts", kind]
    shared = dict(common().fields)
    if any(how.startswith("ac_") and how != "ac_gives" for how in own.ports.values()):
        shared |= _forms()["forms", "any_ac"].fields
    return Form(own.kind, own.words, own.roles, own.ports, shared | own.fields)


def common() -> Form:
    """The fields that any part can have."""
    return _forms()["parts", "any"]


def sheet(name: str) -> Form:
    """The form of something that is no part: habits, surroundings, place, run, complaint."""
    return _forms()["forms", name]


@remembered
def part_kinds() -> tuple[str, ...]:
    """Names of all part kinds."""
    return tuple(sorted(name for folder, name in _forms() if folder == "parts" and name != "any"))


@kept
def _forms() -> dict[tuple[str, str], Form]:
    """The shipped forms."""
    return read_forms(rules_root())


def read_forms(root: Path) -> dict[tuple[str, str], Form]:
    """Every form below a folder by its own folder and name. Raises Unusable with the problems of all."""
    found: dict[tuple[str, str], Form] = {}
    problems: list[Problem] = []
    for folder in ("parts", "forms"):
        for path in sorted((root / folder).glob("*.yaml")):
            try:
                found[folder, path.stem] = _read(path)
            except Unusable as fault:
                problems += fault.problems
    if problems:
        raise Unusable(problems)
    return found


def _read(path: Path) -> Form:
    document = read(path)
    raw = validate(document, _FormFile)
    problems = []
    fields = {}
    for key, line in raw.fields.items():
        try:
            fields[key] = _field(key, line)
        except _Faulty as fault:
            where = ("fields", key, fault.key) if fault.key else ("fields", key)
            spot = document.spot(where)
            problems.append(Problem(spot, dotted(where), fault.expected, fault.found, fault.hint))
    if problems:
        raise Unusable(problems)
    return Form(raw.kind, raw.words, frozenset(raw.roles), {k: p.joins for k, p in raw.ports.items()}, fields)


class _Faulty(Exception):
    """A field that makes no sense: the name in it that is wrong, and the phrases of a problem."""

    def __init__(self, key: str, expected: str, found: str, hint: str = "") -> None:
        self.key, self.expected, self.found, self.hint = key, expected, found, hint


def _field(name: str, line: _FieldLine) -> Field:
    sorts = [each for each in ("quantity", "choice", "count", "parts", "text") if getattr(line, each)]
    if len(sorts) != 1:
        found = shown(", ".join(sorts) or None)
        raise _Faulty("", "one of quantity, choice, count, parts, text", found)
    bounds, dimension, source = None, "", line.bounds_source
    if line.quantity:
        dimension = line.quantity
        if dimension not in DIMENSIONS:
            raise _Faulty("quantity", "a dimension", shown(dimension), did_you_mean(dimension, DIMENSIONS))
        bounds = _bounds(line.bounds, dimension)
        if not line.bounds_source:
            raise _Faulty("", "'bounds_source: ...'", "nothing of that name")
    if line.count:
        dimension = "count"
        low, _, high = line.count.partition("..")
        if not (low.isdigit() and high.isdigit() and int(low) <= int(high)):
            raise _Faulty("count", "whole numbers such as 1..12", shown(line.count))
        bounds, source = Span(float(low), float(high)), source or "a count"
    if line.choice:
        source = source or "any of its words"
    return Field(
        name,
        dimension=dimension,
        options=line.choice,
        bounds=bounds,
        bounds_source=source,
        parts=line.parts,
        free_text=line.text,
        ask=line.ask,
        where=line.where,
        minutes=line.minutes,
        access=line.access,
        means=line.means,
        said_clears=line.said_clears and line.access != "licensed",
        agrees=0.0 if line.agrees is None else _bounds(line.agrees.within, "ratio", "agrees").hi,
        speaks_of=tuple(
            SpeaksOf(**{**dict(each), "of": frozenset(each.of), "words": tuple(each.words.items())})
            for each in line.speaks_of
        ),
        drifts=line.drifts,
    )


def _bounds(text: str, dimension: str, key: str = "bounds") -> Span:
    try:
        written = parse(text, dimension)
    except NotUnderstood as fault:
        raise _Faulty(key, fault.expected, fault.found) from None
    if written is None or float("inf") in (written.domain.hi, -written.domain.lo):
        raise _Faulty(key, f"a finite range of {dimension}", shown(text))
    return written.domain
