import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.quantity.notation import parse
from ringout.quantity.printed import as_printed, format_domain, format_value
from ringout.quantity.span import Choice, Span
from ringout.quantity.unit import DIMENSIONS

dimensions = st.sampled_from(sorted(DIMENSIONS))


@pytest.mark.parametrize(
    ("value", "dimension", "text"),
    [
        (13.2, "current", "13.2 A"),
        (0.03, "current", "30 mA"),
        (2000, "power", "2 kW"),
        (999.7, "power", "1 kW"),
        (0.0042, "resistance", "4.2 mohm"),
        (1e6, "resistance", "1 Mohm"),
        (0.25, "voltage", "0.25 V"),
        (-12.849, "voltage", "-12.8 V"),
        (230, "voltage", "230 V"),
        (0.35, "length", "350 mm"),
        (120000, "irradiance", "120000 W/m2"),
        (0.85, "ratio", "85 %"),
        (0.2, "charge_rate", "0.2 C-rate"),
        (90, "time", "90 s"),
        (5400, "time", "90 min"),
        (36 * 3600, "time", "36 h"),
        (-0.0, "temperature", "0 C"),
        (0, "current", "0 A"),
        (1e-17, "current", "0 A"),
        (math.inf, "time", "no upper limit"),
        (-math.inf, "current", "no lower limit"),
    ],
)
def test_values_in_print(value: float, dimension: str, text: str) -> None:
    assert format_value(value, dimension) == text


def test_what_is_not_a_number_is_not_printed() -> None:
    with pytest.raises(ValueError, match="not a number"):
        format_value(math.nan, "current")


@pytest.mark.parametrize(
    ("domain", "dimension", "text"),
    [
        (Span(11, 14), "current", "11 to 14 A"),
        (Span(500, 2000), "power", "0.5 to 2 kW"),
        (Span(-10, 40), "temperature", "-10 to 40 C"),
        (Span(13.2, 13.2), "current", "13.2 A"),
        (Span(4, math.inf), "length", "at least 4 m"),
        (Span(-math.inf, 4), "length", "at most 4 m"),
        (Span(4.004, math.inf), "length", "at least 4 m"),
        (Span(-math.inf, 4.004), "length", "at most 4.01 m"),
        (Span(-math.inf, math.inf), "length", "not known"),
        (Span(12.001, 12.004), "voltage", "12 to 12.1 V"),  # outwards, never narrower than known
        (Span(10.999999999999, 14.000000000001), "current", "11 to 14 A"),
        (Choice(frozenset({"LFP", "AGM"})), "", "AGM or LFP"),
    ],
)
def test_ranges_in_print(domain: Span | Choice, dimension: str, text: str) -> None:
    assert format_domain(domain, dimension) == text


# To a millionth: finer steps are the noise of floating point, which prints as nought.
values = st.integers(min_value=-(10**12), max_value=10**12).map(lambda millionths: millionths / 1e6)


def possible(dimension: str, value: float) -> float:
    """The value moved into what can exist: no length below nought, no copper of nought."""
    least = DIMENSIONS[dimension].least
    if math.isinf(least):
        return value
    return max(math.ceil(least), 0.01 if dimension == "area" else -math.inf) + abs(value)


@given(dimensions, values)
def test_a_printed_value_reads_back_within_three_figures(dimension: str, number: float) -> None:
    value = possible(dimension, number)
    written = parse(format_value(value, dimension), dimension)
    assert written is not None
    assert written.domain.exact
    assert written.domain.lo == pytest.approx(value, rel=0.005)


@given(dimensions, values)
def test_what_a_value_is_as_printed_is_what_its_print_reads_as(dimension: str, number: float) -> None:
    value = possible(dimension, number)
    written = parse(format_value(value, dimension), dimension)
    assert written is not None
    assert as_printed(value, dimension) == written.domain.lo


def test_what_has_no_number_in_print_is_itself() -> None:
    assert as_printed(math.inf, "ratio") == math.inf
    assert as_printed(-math.inf, "length") == -math.inf


@given(dimensions, values, values)
def test_a_printed_range_reads_back_no_narrower(dimension: str, one: float, other: float) -> None:
    lo, hi = sorted((possible(dimension, one), possible(dimension, other)))
    written = parse(format_domain(Span(lo, hi), dimension), dimension)
    assert written is not None
    rounding = 1e-8 * max(abs(lo), abs(hi))
    if lo == hi:
        rounding = 0.005 * abs(lo)
    assert written.domain.lo <= lo + rounding
    assert written.domain.hi >= hi - rounding
