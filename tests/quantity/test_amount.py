from fractions import Fraction

import pytest

from ringout.quantity.amount import Reading, read_amount, read_tolerance, unit_of
from ringout.quantity.refusal import Ambiguous, NotUnderstood
from ringout.quantity.unit import dimension_named


def amount(text: str, dimension: str) -> float:
    reading = read_amount(text, 0, dimension_named(dimension))
    assert reading.lo == reading.hi
    return float(reading.lo)


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("4 m", "length", 4),
        ("3/8 in", "length", 0.009525),
        ("1/2 ft", "length", 0.1524),
        ("3.3 mohm", "resistance", 0.0033),
        ("-40 F", "temperature", -40),  # where both scales meet
        ("212 F", "temperature", 100),
        ("0.85", "ratio", 0.85),
        ("1.25", "ratio", 1.25),
        ("0", "ratio", 0),
        ("80%", "ratio", 0.8),
        ("0.2 C", "charge_rate", 0.2),
        ("0.2 C", "temperature", 0.2),
        ("-20 mV/K", "voltage_per_kelvin", -0.02),
    ],
)
def test_amounts(text: str, dimension: str, value: float) -> None:
    assert amount(text, dimension) == value


@pytest.mark.parametrize(
    ("text", "dimension", "message", "offset"),
    [
        ("4 A", "length", "expected a length such as 4 m, found '4 A' (a current)", 2),
        ("0.2 C", "current", "found '0.2 C' (a temperature or a charge or discharge rate)", 4),
        ("5 m2", "length", "expected a length such as 4 m, found '5 m2'", 2),
        ("4", "length", "expected a length such as 4 m, found '4' without a unit", 1),
        ("five m", "length", "expected a length such as 4 m, found 'five m'", 0),
        ("", "length", "expected a length such as 4 m, found nothing", 0),
        ("12/24 V", "voltage", "('12 or 24 V' for one of two), found '12/24 V'", 0),
        ("1/0 in", "length", "found '1/0 in'", 0),
        ("1e400 A", "current", "found '1e400 A'", 1),
    ],
)
def test_refusals_say_what_was_wrong_and_where(text: str, dimension: str, message: str, offset: int) -> None:
    with pytest.raises(NotUnderstood) as refusal:
        read_amount(text, 0, dimension_named(dimension))
    assert message in str(refusal.value)
    assert refusal.value.offset == offset


@pytest.mark.parametrize(
    ("text", "readings"), [("85", ("85 %", "8500 %")), ("1", ("1 %", "100 %")), ("2.5", ("2.5 %", "250 %"))]
)
def test_a_bare_ratio_that_may_be_a_percentage_is_ambiguous(text: str, readings: tuple[str, ...]) -> None:
    with pytest.raises(Ambiguous) as refusal:
        read_amount(text, 0, dimension_named("ratio"))
    assert refusal.value.readings == readings


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("9 F", "temperature", 5),
        ("5 C", "temperature", 5),
        ("5 K", "temperature", 5),
        ("20 cm", "length", 0.2),
    ],
)
def test_a_tolerance_is_a_difference(text: str, dimension: str, value: float) -> None:
    assert float(read_tolerance(text, 0, dimension_named(dimension))) == value


def test_a_tolerance_below_nought_is_refused() -> None:
    with pytest.raises(NotUnderstood, match="a tolerance of 0 or more"):
        read_tolerance("-1 m", 0, dimension_named("length"))


def test_what_stands_after_the_number() -> None:
    assert [unit_of(text) for text in ("4 m", "2/0 AWG", "6", "AWG 4")] == ["m", "AWG", "", ""]


def test_the_hull_holds_both_and_says_each_thing_once() -> None:
    one, two = Reading(Fraction(1), Fraction(2), ("a",)), Reading(Fraction(5), Fraction(6), ("a", "b"))
    assert one.hull(two) == Reading(Fraction(1), Fraction(6), ("a", "b"))
