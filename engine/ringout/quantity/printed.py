"""Values and ranges for people to read: three significant figures and a unit the trade uses."""

from __future__ import annotations

import math
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from fractions import Fraction

from ringout.quantity.span import Choice, Domain
from ringout.quantity.unit import Dimension, dimension_named

NOISE = 1e-9
"""Anything smaller, in the unit printed, is left over from floating point and prints as 0."""


def format_value(value: float, dimension: str) -> str:
    """A value in the inside unit, in print: 13.2 becomes "13.2 A", 0.0042 "4.2 mohm".

    Raises ValueError for what is not a number and for a dimension there is not.
    """
    kind = dimension_named(dimension)
    if math.isnan(value):
        raise ValueError("not a number")
    if math.isinf(value):
        return "no upper limit" if value > 0 else "no lower limit"
    unit = _unit_for(value, kind)
    return f"{_number(value, unit, kind, ROUND_HALF_EVEN)} {unit}"


def as_printed(value: float, dimension: str) -> float:
    """A value in the inside unit as it reads in print: 499.95 mohm as 500 mohm. What has no number there is itself."""
    kind = dimension_named(dimension)
    if not math.isfinite(value):
        return value
    scale = _scale(_unit_for(value, kind), kind)
    return float(Fraction(_three_figures(value / float(scale), ROUND_HALF_EVEN)) * scale)


def format_domain(domain: Domain, dimension: str) -> str:
    """A range or choice in print: "11 to 14 A", "at least 4 m", "AGM or LFP", "not known".

    The ends of a range are rounded outwards, so that print never claims more than is known.
    """
    if isinstance(domain, Choice):
        return " or ".join(sorted(domain.options))
    if domain.exact:
        return format_value(domain.lo, dimension)
    kind = dimension_named(dimension)
    ends = [abs(end) for end in (domain.lo, domain.hi) if math.isfinite(end)]
    if not ends:
        return "not known"
    unit = _unit_for(max(ends), kind)
    if domain.hi == math.inf:
        return f"at least {_number(domain.lo, unit, kind, ROUND_FLOOR)} {unit}"
    hi = _number(domain.hi, unit, kind, ROUND_CEILING)
    if domain.lo == -math.inf:
        return f"at most {hi} {unit}"
    lo = _number(domain.lo, unit, kind, ROUND_FLOOR)
    return f"{lo} to {hi} {unit}" if lo != hi else f"{lo} {unit}"


def _unit_for(value: float, kind: Dimension) -> str:
    """The largest printed unit the value reaches once rounded: 999.7 W is "1 kW". Nought takes that of 1."""
    size = float(abs(_three_figures(value, ROUND_HALF_EVEN))) or 1.0
    return [unit for unit, start in kind.printed if size >= start][-1]


def _number(value: float, unit: str, kind: Dimension, rounding: str) -> str:
    return f"{_three_figures(value / float(_scale(unit, kind)), rounding).normalize():f}"


def _scale(unit: str, kind: Dimension) -> Fraction:
    written = kind.find(unit)
    assert written is not None, f"{unit} is printed for {kind.name} but cannot be read back"
    return written.scale


def _three_figures(value: float, rounding: str) -> Decimal:
    """Three significant figures. Nine are kept first, so that 10.999999999999 counts as 11."""
    if abs(value) < NOISE:
        return Decimal(0)
    number = Decimal(f"{value:.9g}")
    return number.quantize(Decimal(1).scaleb(number.adjusted() - 2), rounding=rounding)
