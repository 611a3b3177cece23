"""One quantity with its unit: "4 m", "3/8 in", "85 %". The unit is never guessed."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from ringout.quantity.number import read_number
from ringout.quantity.refusal import Ambiguous, NotUnderstood
from ringout.quantity.unit import DIMENSIONS, Dimension, Unit
from ringout.text.problem import shown

LARGEST_BARE_RATIO = 2
"""A ratio without a unit: "0.85" and "1.25" are plain, "85" may be 85 % or 85 times."""

_DENOMINATOR = re.compile(r"/([0-9]+)")
_FRACTION_UNITS = {"in", "inch", "inches", "ft", "foot", "feet"}


@dataclass(frozen=True, slots=True)
class Reading:
    """A range in the inside unit, kept exact until it is handed out, and what was taken for granted."""

    lo: Fraction
    hi: Fraction
    notes: tuple[str, ...] = ()

    def hull(self, other: Reading) -> Reading:
        """The range that holds both."""
        notes = dict.fromkeys(self.notes + other.notes)
        return Reading(min(self.lo, other.lo), max(self.hi, other.hi), tuple(notes))

    def widened(self, below: Fraction, above: Fraction, *notes: str) -> Reading:
        """The range moved outwards by so much at either end."""
        return Reading(self.lo - below, self.hi + above, self.notes + notes)


def read_amount(text: str, at: int, kind: Dimension) -> Reading:
    """Read one quantity; `at` is the column where `text` begins. Raises NotUnderstood, Ambiguous."""
    number, unit = _number_and_unit(text, at, kind)
    value = number * unit.scale + unit.offset
    return Reading(value, value, (unit.note,) if unit.note else ())


def read_tolerance(text: str, at: int, kind: Dimension) -> Fraction:
    """Read how far a quantity of that kind may stray, in its inside unit: never below 0.

    A difference of temperature has no offset: 9 F either side is 5 K.
    """
    difference = DIMENSIONS["temperature_difference"]
    if kind.name == "temperature" and difference.find(unit_of(text)):
        kind = difference
    number, unit = _number_and_unit(text, at, kind)
    if number < 0:
        raise NotUnderstood("a tolerance of 0 or more", shown(text), at)
    return number * unit.scale


def unit_of(text: str) -> str:
    """What stands after the leading number; empty when there is none."""
    match = re.match(r"[+-]?[0-9]+(?:[.,][0-9]+|/[0-9]+)?", text)
    return text[match.end() :].strip() if match else ""


def _number_and_unit(text: str, at: int, kind: Dimension) -> tuple[Fraction, Unit]:
    expected = f"{kind.words} such as {kind.example}"
    if not re.match(r"[+-]?[0-9]", text):
        raise NotUnderstood(expected, shown(text) if text else "nothing", at)
    number, end = read_number(text, at)
    denominator = _DENOMINATOR.match(text, end)
    if denominator:
        end = denominator.end()
    spelling = text[end:].strip()
    where = at + text.index(spelling, end) if spelling else at + len(text)
    if denominator:
        # "12/24 V" is a part for 12 or 24 V, not half a volt.
        if spelling.lower() not in _FRACTION_UNITS or not int(denominator[1]):
            raise NotUnderstood(f"{expected} ('12 or 24 V' for one of two)", shown(text), at)
        number /= int(denominator[1])
    if not spelling and kind.name == "ratio":
        return _bare_ratio(number, text, at), Unit(Fraction(1))
    if not spelling:
        raise NotUnderstood(expected, f"{shown(text)} without a unit", where)
    unit = kind.find(spelling)
    if unit is None:
        kinds = " or ".join(other.words for other in DIMENSIONS.values() if other.find(spelling))
        raise NotUnderstood(expected, f"{shown(text)} ({kinds})" if kinds else shown(text), where)
    return number, unit


def _bare_ratio(number: Fraction, text: str, at: int) -> Fraction:
    """ "1" and "85" could each be so many percent; "0", "0.85" and "1.25" could hardly."""
    if number and (text.lstrip("+-").isdigit() or abs(number) > LARGEST_BARE_RATIO):
        raise Ambiguous(shown(text), at, (f"{text} %", f"{float(number * 100):g} %"))
    return number
