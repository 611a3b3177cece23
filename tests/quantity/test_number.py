from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.quantity.number import read_number
from ringout.quantity.refusal import Ambiguous, NotUnderstood


@pytest.mark.parametrize(
    ("text", "value", "end"),
    [
        ("13.2 A", "13.2", 4),
        ("-10 C", "-10", 3),
        ("+5 A", "5", 2),
        ("3,5 m", "3.5", 3),
        ("1,2 kW", "1.2", 3),
        ("1,23 m", "1.23", 4),
        ("0,345 m", "0.345", 5),  # nobody writes a thousands mark after nought
        ("1234,567 m", "1234.567", 8),  # a thousands mark would stand three places earlier
        ("1.234 W", "1.234", 5),  # a point is always the decimal mark
        ("200Ah", "200", 3),
    ],
)
def test_numbers_as_written(text: str, value: str, end: int) -> None:
    assert read_number(text, 0) == (Fraction(value), end)


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("1,234 W", ("'1.234 W'", "'1234 W'")),
        ("12,500 W", ("'12.5 W'", "'12500 W'")),
        ("-1,000", ("'-1'", "'-1000'")),
    ],
)
def test_a_comma_that_may_mark_thousands_is_ambiguous(text: str, readings: tuple[str, ...]) -> None:
    with pytest.raises(Ambiguous) as refusal:
        read_number(text, 0)
    assert refusal.value.readings == readings


@pytest.mark.parametrize(
    ("text", "offset"),
    [
        ("1.2.3 A", 3),
        ("1 000 W", 1),
        ("1_000 W", 1),
        ("1'000 W", 1),
        ("1,234,567 W", 5),
        ("1,234.5 W", 5),
        ("5. m", 1),
        (".5 m", 0),
        ("- 5 C", 0),
        ("--5 C", 0),
        ("nan", 0),
        ("", 0),
        ("٤ m", 0),
        ("\uff14 m", 0),
        ("²", 0),
    ],
)
def test_what_is_no_plain_number_is_refused_where_it_goes_wrong(text: str, offset: int) -> None:
    with pytest.raises(NotUnderstood, match="a plain number") as refusal:
        read_number(text, 7)
    assert not isinstance(refusal.value, Ambiguous)
    assert refusal.value.offset == 7 + offset


@given(st.decimals(min_value=-(10**6), max_value=10**6, places=2))
def test_every_plain_decimal_reads_as_itself_with_point_or_comma(number: object) -> None:
    for text in (str(number), str(number).replace(".", ",")):
        assert read_number(text, 0) == (Fraction(str(number)), len(text))
