import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.quantity.conductor import awg_area
from ringout.quantity.notation import Ambiguous, NotUnderstood, Written, parse, parse_size
from ringout.quantity.span import Span
from ringout.quantity.unit import DIMENSIONS

ABOUT = "about: 15 % either side, common practice, no source"


def span(text: str, dimension: str) -> Span:
    written = parse(text, dimension)
    assert written is not None
    return written.domain


def size(text: str) -> Span:
    written = parse_size(text)
    assert written is not None
    return written.domain


def refusal(text: str, dimension: str) -> NotUnderstood:
    with pytest.raises(NotUnderstood) as caught:
        parse(text, dimension)
    return caught.value


@pytest.mark.parametrize("text", ["unknown", " Unknown ", "not known", "don't know", "don’t know", "?"])
def test_not_known_is_none_and_never_a_number(text: str) -> None:
    assert parse(text, "length") is None
    assert parse_size(text) is None


@pytest.mark.parametrize(
    ("text", "dimension", "lo", "hi"),
    [
        ("4 m", "length", 4, 4),
        ("1,2 kW", "power", 1200, 1200),
        ("-10 C", "temperature", -10, -10),
        ("−10 °C", "temperature", -10, -10),
        ("230 VAC", "voltage", 230, 230),
        ("12 Vdc", "voltage", 12, 12),
        ("200Ah", "charge", 200, 200),
        ("13 amp", "current", 13, 13),
        ("2 kilowatts", "power", 2000, 2000),
        ("80%", "ratio", 0.8, 0.8),
        ("4\u00a0m", "length", 4, 4),
        ("3..5 m", "length", 3, 5),
        ("3 to 5 m", "length", 3, 5),
        ("3 m to 500 cm", "length", 3, 5),
        ("3 m .. 5 m", "length", 3, 5),
        ("4-5 m", "length", 4, 5),
        ("4 - 5 m", "length", 4, 5),
        ("4–5 m", "length", 4, 5),
        ("1/4..3/8 in", "length", 0.00635, 0.009525),
        ("-10..40 C", "temperature", -10, 40),
        ("-10 to -5 C", "temperature", -10, -5),
        ("80..90 %", "ratio", 0.8, 0.9),
        ("0.8..0.9", "ratio", 0.8, 0.9),
        ("12 or 24 V", "voltage", 12, 24),
        ("12 or 24 or 48 V", "voltage", 12, 48),
        ("24 V or 12..13 V", "voltage", 12, 24),
        ("4 m +/- 10 %", "length", 3.6, 4.4),
        ("4 ± 0.2 m", "length", 3.8, 4.2),
        ("4 m ± 20 cm", "length", 3.8, 4.2),
        ("4 m +- 0.2 m", "length", 3.8, 4.2),
        ("0.8 ± 0.05", "ratio", 0.75, 0.85),
        ("25 C ± 9 F", "temperature", 20, 30),
        ("25 ± 5 C", "temperature", 20, 30),
        ("25 C ± 5 K", "temperature", 20, 30),
        ("2 or 4 m ± 10 %", "length", 2, 4.4),
        ("at least 4 m", "length", 4, math.inf),
        (">= 4 m", "length", 4, math.inf),
        ("over 4 m", "length", 4, math.inf),
        ("at most 4 m", "length", -math.inf, 4),
        ("under 4 m", "length", -math.inf, 4),
        ("<4 m", "length", -math.inf, 4),
    ],
)
def test_quantities_as_written(text: str, dimension: str, lo: float, hi: float) -> None:
    assert span(text, dimension) == Span(lo, hi)


@pytest.mark.parametrize("text", ["about 4 m", "About 4 m", "~4 m", "~ 4 m", "approx. 4 m", "roughly 4 m"])
def test_about_is_fifteen_percent_either_side_and_says_so(text: str) -> None:
    assert parse(text, "length") == Written(Span(3.4, 4.6), text, ABOUT)


def test_about_widens_a_range_and_a_negative_value_outwards() -> None:
    assert span("about 2..4 m", "length") == Span(1.7, 4.6)
    assert span("about -20 A", "current") == Span(-23, -17)


def test_about_a_temperature_is_five_kelvin_because_a_share_of_celsius_means_nothing() -> None:
    written = parse("about 32 F", "temperature")
    assert written == Written(Span(-5, 5), "about 32 F", "about: 5 K either side, common practice, no source")


def test_volt_amps_are_taken_as_watts_and_say_so() -> None:
    written = parse("about 2 kVA", "power")
    assert written is not None
    assert written.note == f"volt-amps, taken as watts: the real power may be less; {ABOUT}"


@pytest.mark.parametrize(
    ("text", "dimension", "message", "offset"),
    [
        ("4 A", "length", "expected a length such as 4 m, found '4 A' (a current)", 2),
        ("  4 A", "length", "expected a length such as 4 m, found '4 A' (a current)", 4),
        ("about 4 A", "length", "expected a length such as 4 m, found '4 A' (a current)", 8),
        ("3..5 A", "length", "expected a length such as 4 m, found '5 A' (a current)", 5),
        ("3 A..5 m", "length", "expected a length such as 4 m, found '3 A' (a current)", 2),
        ("at least 4", "length", "expected a length such as 4 m, found '4' without a unit", 10),
        ("4 ± 10 %", "length", "expected a length such as 4 m, found '4' without a unit", 1),
        ("5 m2", "length", "expected a length such as 4 m, found '5 m2'", 2),
        ("300 K", "temperature", "found '300 K' (a temperature difference)", 4),
        ("0...5 m", "length", "found '.5 m'", 3),
        ("4 -5 m", "length", "found '4 -5 m'", 2),
        ("5..4 m", "length", "expected a range with its smaller end first, found '5..4 m'", 0),
        ("5 ft to 10 in", "length", "expected a range with its smaller end first", 0),
        ("1..2..3 m", "length", "expected a range with two ends, found '1..2..3 m'", 6),
        ("4 m ± 1 m ± 1 m", "length", "expected one tolerance", 12),
        ("4 m ± -1 m", "length", "expected a tolerance of 0 or more", 6),
        ("4 m ± 5 m", "length", "expected a length of at least 0 m, found '4 m ± 5 m'", 0),
        ("25 C ± 10 %", "temperature", "expected a tolerance in C or K, found '10 %'", 7),
        ("-4 m", "length", "expected a length of at least 0 m, found '-4 m'", 0),
        ("at most -4 m", "length", "expected a length of at least 0 m", 0),
        ("-300 C", "temperature", "expected a temperature of at least -273 C", 0),
        ("about 0 A", "current", "expected a range: 'about' nought has no width", 0),
        ("", "length", "expected a length such as 4 m, found nothing", 0),
        ("  ", "length", "expected a length such as 4 m, found nothing", 0),
        ("at least ", "length", "expected a length such as 4 m, found", 0),
        ("NaN A", "current", "found 'NaN A'", 0),
        ("inf A", "current", "found 'inf A'", 0),
        ("-inf A", "current", "found '-inf A'", 0),
        ("1e400 A", "current", "found '1e400 A'", 1),
        ("1.2.3 A", "current", "expected a plain number such as 1000 or 2.5, found '1.2.3 A'", 3),
        ("1 000 W", "power", "expected a plain number", 1),
        ("1_000 W", "power", "expected a plain number", 1),
        ("٤ m", "length", "found '٤ m'", 0),
        ("1 1/2 in", "length", "expected a plain number", 1),
        ("12/24 V", "voltage", "('12 or 24 V' for one of two)", 0),
        ("30 MA", "current", "found '30 MA'", 3),
        ("9" * 101, "length", "101 characters long", 100),
    ],
)
def test_nothing_is_guessed(text: str, dimension: str, message: str, offset: int) -> None:
    refused = refusal(text, dimension)
    assert message in str(refused)
    assert refused.offset == offset


@pytest.mark.parametrize(
    ("text", "dimension", "readings"),
    [
        ("1,234 W", "power", ("'1.234 W'", "'1234 W'")),
        ("1,000..2,000 W", "power", ("'2 W'", "'2000 W'")),
        ("85", "ratio", ("85 %", "8500 %")),
        ("80 % ± 5 %", "ratio", ("75 to 85 %", "76 to 84 %")),
        ("80 ± 5 %", "ratio", ("75 to 85 %", "76 to 84 %")),
        ("6 mm", "area", ("6 mm2 of copper", "6 mm auto, the outside diameter (4.59 mm2 of copper)")),
        ("2-0 AWG", "area", ("'2/0'", "'2 to 0'")),
    ],
)
def test_two_honest_readings_are_both_shown(text: str, dimension: str, readings: tuple[str, ...]) -> None:
    refused = refusal(text, dimension)
    assert isinstance(refused, Ambiguous)
    assert refused.readings == readings


@pytest.mark.parametrize(
    ("text", "lo", "hi"),
    [
        ("16 mm2", 16, 16),
        ("35 mm²", 35, 35),
        ("16 mm2 cable", 16, 16),
        ("6 mm auto cable", 4.59, 4.59),
        ("2/0 AWG", awg_area(-1), awg_area(-1)),
        ("6..10 mm2", 6, 10),
        ("35 or 50 mm2", 35, 50),
        ("10 or 16 or 25 mm2", 10, 25),
        ("2.5 mm2 or 3 mm auto", 1.13, 2.5),
        ("3 to 5 mm auto", 1.13, 2.90),
        ("10..6 AWG", awg_area(10), awg_area(6)),  # the bigger number is the thinner conductor
        ("6..10 AWG", awg_area(10), awg_area(6)),
        ("1/0 to 4/0 AWG", awg_area(0), awg_area(-3)),
        ("1/0-4/0 AWG", awg_area(0), awg_area(-3)),
        ("at least 6 mm2", 6, math.inf),
        ("at most 00 B&S", -math.inf, awg_area(-1)),
        ("at least 00 B&S", 64.9, math.inf),
        ("10 mm2 ± 10 %", 9, 11),
        ("about 10 mm2", 8.5, 11.5),
    ],
)
def test_conductor_sizes(text: str, lo: float, hi: float) -> None:
    assert size(text) == Span(lo, hi)
    assert span(text, "area") == Span(lo, hi)


def test_a_size_says_what_was_taken_for_granted() -> None:
    written = parse_size("about 6 mm auto")
    assert written is not None
    assert written.note == f"6 mm auto is the outside diameter: 4.59 mm2 of copper; {ABOUT}"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "4 A",
            "expected a conductor size such as 6 mm2, 8 AWG, 6 mm auto or 112/0.30, found '4 A' (a current)",
        ),
        ("6", "found '6' without a unit"),
        ("35/50 mm2", "found '35/50 mm2'"),
        ("2 x 6 mm2", "found '2 x 6 mm2'"),
        ("0 mm2", "expected a copper area above 0, found '0 mm2'"),
        ("-6 mm2", "expected a copper area above 0, found '-6 mm2'"),
        ("", "expected a conductor size such as 6 mm2, 8 AWG, 6 mm auto or 112/0.30, found nothing"),
        ("thick", "found 'thick'"),
        ("4 to 6 mm", "which can mean 6 mm2 of copper or 6 mm auto"),
        ("16 gauge", "which can mean 16 AWG (1.31 mm2 of copper) or 16 B&S"),
        ("1,250 mm2", "which can mean '1.25 mm2' or '1250 mm2'"),
    ],
)
def test_sizes_that_are_refused(text: str, message: str) -> None:
    with pytest.raises(NotUnderstood) as caught:
        parse_size(text)
    assert message in str(caught.value)


def test_no_such_dimension() -> None:
    with pytest.raises(ValueError, match="no dimension 'pressure'"):
        parse("4 bar", "pressure")


@given(st.text(max_size=120), st.sampled_from(sorted(DIMENSIONS)))
def test_any_text_is_read_or_refused_inside_its_own_length(text: str, dimension: str) -> None:
    for read in (lambda: parse(text, dimension), lambda: parse_size(text)):
        try:
            written = read()
        except NotUnderstood as refused:
            assert 0 <= refused.offset <= len(text)
        else:
            assert written is None or written.text == text


NUMBERS = "4|12|2/0|0.30|1,234|-|.|,|/|#"
WORDS = " |..|to| or |±|+/-|%|mm|mm2|AWG|auto|about |at least |x|B&S|gauge|SAE|m|C|in"
near_misses = st.lists(st.sampled_from(f"{NUMBERS}|{WORDS}".split("|")), max_size=8).map("".join)


@given(near_misses, st.sampled_from(["length", "ratio", "temperature", "area"]))
def test_any_mixture_of_the_notations_is_read_or_refused(text: str, dimension: str) -> None:
    try:
        parse(text, dimension)
    except NotUnderstood as refused:
        assert 0 <= refused.offset <= len(text)


plain = st.integers(min_value=1, max_value=10**5).map(lambda n: Fraction(n, 100))


@given(plain, plain)
def test_every_way_of_writing_one_range_means_the_same(one: Fraction, other: Fraction) -> None:
    lo, hi = sorted((one, other))
    expected = Span(float(lo), float(hi))
    low, high = f"{float(lo):.2f}", f"{float(hi):.2f}"
    for text in (f"{low}..{high} m", f"{low} to {high} m", f"{low} m – {high} m", f"{high} or {low} m"):
        assert span(text, "length") == expected
    comma = f"{low}..{high} m".replace(".", ",").replace(",,", "..")
    assert span(comma, "length") == expected
