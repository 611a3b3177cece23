import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.quantity.conductor import (
    B_AND_S_AREA,
    SAE_CMIL,
    awg_area,
    b_and_s_area,
    read_conductor,
    sae_area,
    strands_area,
)
from ringout.quantity.refusal import Ambiguous, NotUnderstood
from ringout.quantity.span import Span


def area(text: str) -> Span:
    copper = read_conductor(text, 0)
    assert copper is not None
    return copper.area


@pytest.mark.parametrize(
    ("text", "gauge"),
    [
        ("8 AWG", 8),
        ("8AWG", 8),
        ("AWG 8", 8),
        ("#8 awg", 8),
        ("8 gauge AWG", 8),
        ("8 AWG wire", 8),
        ("0 AWG", 0),
        ("1/0 AWG", 0),
        ("00 AWG", -1),
        ("2/0 AWG", -1),
        ("AWG 3/0", -2),
        ("0000 awg", -3),
        ("4/0 AWG cable", -3),
    ],
)
def test_awg(text: str, gauge: int) -> None:
    assert area(text) == Span(awg_area(gauge), awg_area(gauge))


@pytest.mark.parametrize("text", ["00 B&S", "2/0 b & s", "B&S 00", "00 b and s cable", "00 gauge B&S"])
def test_b_and_s_runs_from_the_copper_sold_to_the_awg_figure(text: str) -> None:
    assert area(text) == Span(64.9, awg_area(-1))


@given(st.integers(min_value=-3, max_value=20))
def test_b_and_s_always_holds_the_awg_figure_and_what_is_sold(gauge: int) -> None:
    span = b_and_s_area(gauge)
    assert span.contains(awg_area(gauge))
    assert span.contains(B_AND_S_AREA.get(gauge, awg_area(gauge)))
    assert not span.exact


@pytest.mark.parametrize("text", ["8 SAE", "SAE 8", "8 gauge SAE", "8 ga sae", "SAE 8 gauge"])
def test_sae_holds_less_copper_than_awg(text: str) -> None:
    assert area(text) == sae_area(8)
    assert area(text).hi < awg_area(8)


@pytest.mark.parametrize("gauge", SAE_CMIL)
def test_sae_runs_from_twelve_percent_less_to_below_awg(gauge: int) -> None:
    span = sae_area(gauge)
    assert span.lo == pytest.approx(0.88 * awg_area(gauge))
    assert 0.93 * awg_area(gauge) <= span.hi < awg_area(gauge)


@pytest.mark.parametrize(
    ("text", "copper"),
    [
        ("6 mm auto", 4.59),
        ("6mm auto cable", 4.59),
        ("6.0 mm automotive", 4.59),
        ("auto 6 mm", 4.59),
        ("2,5 mm auto", 0.64),
    ],
)
def test_auto_cable_goes_by_its_outside_diameter(text: str, copper: float) -> None:
    assert area(text) == Span(copper, copper)


@pytest.mark.parametrize(
    ("text", "count", "across"),
    [
        ("112/0.30", 112, 0.30),
        ("112/0,30", 112, 0.30),
        ("112 / 0.30 mm", 112, 0.30),
        ("112x0.30 mm", 112, 0.30),
        ("16 × 0.2", 16, 0.2),
        ("7/1.04", 7, 1.04),
        ("1/1.78", 1, 1.78),
        ("7/.029 in", 7, 0.029 * 25.4),
        ("7/.029 mm", 7, 0.029),
    ],
)
def test_strands(text: str, count: int, across: float) -> None:
    assert area(text) == Span(strands_area(count, across), strands_area(count, across))


@pytest.mark.parametrize(
    "text", ["6 mm2", "16 mm² cable", "250 kcmil", "4 A", "about 4", "2 x 6 mm2", "mm", ""]
)
def test_what_is_no_conductor_size_is_left_to_the_plain_areas(text: str) -> None:
    assert read_conductor(text, 0) is None


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("6 mm", ("6 mm2 of copper", "6 mm auto, the outside diameter (4.59 mm2 of copper)")),
        ("6 mm cable", ("6 mm2 of copper", "6 mm auto, the outside diameter (4.59 mm2 of copper)")),
        ("16 mm", ("16 mm2 of copper", "16 mm across, which does not tell the copper")),
        ("1.2.3 mm", ("1.2.3 mm2 of copper", "1.2.3 mm across")),
        ("8 gauge", ("8 AWG (8.37 mm2 of copper)", "8 B&S (7.91 to 8.37 mm2)", "8 SAE (7.36 to 7.78 mm2)")),
        ("8 ga.", ("8 AWG (8.37 mm2 of copper)", "8 B&S (7.91 to 8.37 mm2)", "8 SAE (7.36 to 7.78 mm2)")),
        ("#8", ("8 AWG (8.37 mm2 of copper)", "8 B&S (7.91 to 8.37 mm2)", "8 SAE (7.36 to 7.78 mm2)")),
        ("3 gauge", ("3 AWG (26.7 mm2 of copper)", "3 B&S (25.7 to 26.7 mm2)")),
        ("00", ("00 AWG (67.4 mm2 of copper)", "00 B&S (64.9 to 67.4 mm2)", "00 SAE (59.3 to 63.4 mm2)")),
        ("2/0", ("2/0 AWG (67.4 mm2 of copper)", "2/0 B&S (64.9 to 67.4 mm2)", "2/0 SAE (59.3 to 63.4 mm2)")),
        ("7/.029", ("7 strands of 0.029 mm (0.00462 mm2 of copper)", "7 strands of 0.029 in (2.98 mm2)")),
        ("2 x 2.5 mm", ("2 strands of 2.5 mm (9.82 mm2 of copper)", "2 cores of 2.5 mm2 each")),
        ("3/2.5", ("3 strands of 2.5 mm (14.7 mm2 of copper)", "3 cores of 2.5 mm2 each")),
        ("7x0.75", ("7 strands of 0.75 mm (3.09 mm2 of copper)", "7 cores of 0.75 mm2 each")),
    ],
)
def test_a_size_with_two_meanings_is_refused_with_all_of_them(text: str, readings: tuple[str, ...]) -> None:
    with pytest.raises(Ambiguous) as refusal:
        read_conductor(text, 3)
    assert refusal.value.readings == readings
    assert refusal.value.offset == 3


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("7 mm auto", "an auto cable of 2.5, 3, 4, 5, 6 mm"),
        ("3 SAE", "an SAE gauge of 18, 16, 14, 12, 10, 8, 6, 4, 2, 1 or 1/0 to 4/0"),
        ("41 AWG", "a gauge from 4/0 to 40"),
        ("50 gauge", "a gauge from 4/0 to 40"),
        ("10 SWG", "a conductor size such as 6 mm2"),
        ("35/50", "strands of up to 3.2 mm"),
        ("7/029", "strands of up to 3.2 mm"),
        ("0/0.30", "strands of up to 3.2 mm"),
        ("112/0.0", "strands of up to 3.2 mm"),
        ("1.2.3 mm auto", "a plain number"),
    ],
)
def test_sizes_that_do_not_exist_are_refused(text: str, expected: str) -> None:
    with pytest.raises(NotUnderstood) as refusal:
        read_conductor(text, 0)
    assert not isinstance(refusal.value, Ambiguous)
    assert refusal.value.expected.startswith(expected)


@pytest.mark.parametrize("text", ["5/0 AWG", "00000 AWG", "08 AWG", "2/1 AWG", "2.5 AWG"])
def test_gauges_nobody_writes_are_left_over_and_so_refused(text: str) -> None:
    assert read_conductor(text, 0) is None
