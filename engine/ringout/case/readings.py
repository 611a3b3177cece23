"""The readings of a case: what was read, where, how far off the instrument may be, and which reading repeats which."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ringout.case.case import Case, Taken
from ringout.case.form import Field, sheet
from ringout.case.frame import Reading
from ringout.case.sheets import names_at
from ringout.case.statement import NotAStatement, leaf
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Span
from ringout.text.checked import problem
from ringout.text.document import Document
from ringout.text.problem import Loc, Problem, did_you_mean

CLASS = Field("within", "ratio", bounds=Span(0.0, 1.0), bounds_source="a part of the value")
"""The class of an instrument, as a case states it."""


def readings(document: Document, case: Case, problems: list[Problem]) -> list[Taken]:
    """Every reading that holds a value, its mistakes among the problems."""
    known = [*case.frame.parts, *case.places, *case.hops]
    fields = sheet("reading").fields
    found = []
    for name, reading in case.frame.readings.items():
        loc: Loc = ("readings", name)
        if reading.repeats:
            problems += _repeats(document, loc, case.frame.readings)
        if reading.of and reading.of not in known:
            expected, hint = "the name of a part, a run or a place", did_you_mean(reading.of, known)
            problems.append(problem(document, (*loc, "of"), expected, reading.of, hint))
        if reading.points:
            problems += _points(document, (*loc, "points"), case.frame.parts)
        field = fields[reading.what]
        if field.free_text:
            if not isinstance(reading.value, str):
                problems.append(problem(document, (*loc, "value"), "words", reading.value))
            continue
        try:
            value = leaf(document, (*loc, "value"), reading.value, field, f"readings.{name}", Origin.MEASURED)
            if reading.within is not None:
                off = leaf(document, (*loc, "within"), reading.within, CLASS, f"readings.{name}.within")
                value = _within(value, off)
            found.append(Taken(name, reading, value))
        except NotAStatement as fault:
            problems.append(fault.problem)
    return found


def _within(value: Leaf, off: Leaf) -> Leaf:
    """A reading as wide as the class of its instrument."""
    if not off.known or not isinstance(off.domain, Span) or not isinstance(value.domain, Span):
        return value
    by, lo, hi = off.domain.hi, value.domain.lo, value.domain.hi
    return replace(value, domain=Span(lo - by * abs(lo), hi + by * abs(hi)))


def _repeats(document: Document, loc: Loc, every: Mapping[str, Reading]) -> list[Problem]:
    """What is wrong with a repeat: it is of the same thing, state and points, as far as it names them."""
    reading, first = every[str(loc[-1])], every.get(every[str(loc[-1])].repeats)
    if first is None:
        hint = did_you_mean(reading.repeats, every)
        return [problem(document, (*loc, "repeats"), "the name of a reading", reading.repeats, hint)]
    seen, here = set(), str(loc[-1])
    while here in every and here not in seen:
        seen.add(here)
        here = every[here].repeats
    found = []
    if here in seen:
        expected = "a reading that does not repeat this one"
        found.append(problem(document, (*loc, "repeats"), expected, reading.repeats))
    for key in ("what", "of", "state", "points"):
        own, its = getattr(reading, key), getattr(first, key)
        if own and its and own != its:
            expected = f"{its if isinstance(its, str) else ' '.join(its)}, as in {reading.repeats}, which it repeats"
            found.append(problem(document, (*loc, key), expected, document.at((*loc, key))))
    return found


def _points(document: Document, loc: Loc, parts: Mapping[str, object]) -> list[Problem]:
    """Words that end in + or - are terminals, and their part must exist; others may say where freely."""
    found = []
    for point, where, offset in names_at(document, loc):
        name = point.rstrip("+-").partition(".")[0]
        if point.endswith(("+", "-")) and name and name not in parts:
            hint = did_you_mean(name, parts)
            found.append(problem(document, where, "a terminal of a part, such as b1+", point, hint, offset))
    return found
