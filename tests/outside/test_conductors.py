"""Copper areas against published tables. The source of each table stands beside it."""

import math
from types import SimpleNamespace

import pytest

from ringout.quantity.conductor import MM2_PER_CMIL, awg_area, sae_area
from ringout.quantity.notation import parse, parse_size
from ringout.quantity.span import Span


def size(text: str) -> Span:
    written = parse_size(text)
    assert written is not None
    return written.domain


# AWG | bare diameter in mm | mm2 | circular mils. Sources:
# diameter: ASTM B258 (standard, no year seen) geometry, wire-gauge table, read on a public page;
# mm2: ASTM B258, 0.012668 * 92^((36 - n)/19.5); 10 AWG read on a public page, the others computed from it;
# circular mils: NEC (code, no year seen) chapter 9 table 8 and wire tables, read on a public page; 18 and 16
# from memory.
AWG = [
    ("18", 1.0236, 0.823, 1624),
    ("16", 1.2903, 1.309, 2583),
    ("14", 1.6281, 2.081, 4110),
    ("12", 2.0523, 3.309, 6530),
    ("10", 2.5883, 5.261, 10380),
    ("8", 3.2639, 8.366, 16510),
    ("6", 4.1148, 13.302, 26240),
    ("4", 5.1892, 21.151, 41740),
    ("3", 5.8268, 26.670, 52620),
    ("2", 6.5430, 33.631, 66360),
    ("1", 7.3482, 42.408, 83690),
    ("1/0", 8.2525, 53.475, 105600),
    ("2/0", 9.2659, 67.431, 133100),
    ("3/0", 10.4038, 85.029, 167800),
    ("4/0", 11.6840, 107.219, 211600),
]


@pytest.mark.parametrize(("gauge", "across", "mm2", "cmil"), AWG)
def test_awg_against_diameter_area_and_circular_mils(
    gauge: str, across: float, mm2: float, cmil: int
) -> None:
    area = size(f"{gauge} AWG")
    assert area.exact
    assert area.lo == pytest.approx(mm2, abs=0.002)
    assert math.sqrt(area.lo * 4 / math.pi) == pytest.approx(across, abs=0.0015)
    assert area.lo / MM2_PER_CMIL == pytest.approx(cmil, rel=0.001)
    assert size(f"{cmil} cmil").lo == pytest.approx(area.lo, rel=0.001)


@pytest.mark.published("TRADE-TWO-NOUGHT")
def test_two_nought_is_about_seventy(value: SimpleNamespace) -> None:
    found = size(f"{value.inputs['awg']} AWG").lo
    assert found == pytest.approx(value.expected, abs=value.tolerance)
    assert found != pytest.approx(size("70 mm2").lo, abs=1), "about, and not the same"


def test_four_nought_is_211_point_6_kcmil() -> None:
    # NEC, code, chapter 9 table 8: 4/0 is 211600 circular mils.
    assert size("211.6 kcmil").lo == pytest.approx(size("4/0 AWG").lo, rel=0.0001)


# Trade size (outside diameter) | strands | mm2 of copper.
# Source: AU wire-gauge worksheet and AU cable conversion table (trade tables, no year, read on public pages).
AUTO = [
    ("2.5 mm", "8/0.32", 0.64, 0.01),
    ("3 mm", "16/0.30", 1.13, 0.01),
    ("4 mm", "26/0.30", 1.84, 0.04),
    ("5 mm", "41/0.30", 2.90, 0.01),
    ("6 mm", "65/0.30", 4.59, 0.02),
]


@pytest.mark.parametrize(("trade", "strands", "mm2", "tolerance"), AUTO)
def test_auto_cable_against_the_table_and_its_own_strands(
    trade: str, strands: str, mm2: float, tolerance: float
) -> None:
    assert size(f"{trade} auto") == Span(mm2, mm2)
    assert size(strands).lo == pytest.approx(mm2, abs=tolerance)


def test_three_mm_auto_is_not_the_wrong_figure_that_is_also_published() -> None:
    # An AU traveller's cable page (no year) prints 0.85 mm2; the 16/0.30 it gives itself make 1.13 mm2.
    assert not size("3 mm auto").contains(0.85)
    assert size("16/0.30").lo == pytest.approx(1.131, abs=0.001)


def test_six_mm_auto_holds_three_quarters_of_the_copper_of_six_mm2() -> None:
    # Derived: 4.59 / 6.
    assert size("6 mm auto").lo / size("6 mm2").lo == pytest.approx(0.765, abs=0.001)


# B&S size | strands | mm2 sold | how far the two may differ.
# Source: AU wire-gauge worksheet (trade table, no year, read on a public page).
B_AND_S = [
    ("8", "112/0.30", 7.91, 0.02),
    ("6", "192/0.30", 13.56, 0.02),
    ("3", "364/0.30", 25.72, 0.02),
    ("2", "455/0.30", 32.15, 0.02),
    ("1", "560/0.30", 39.55, 0.04),
    ("0", "700/0.30", 49.2, 0.3),
    ("00", "910/0.30", 64.9, 0.6),
    ("000", "1204/0.30", 85.0, 0.2),
]


@pytest.mark.parametrize(("gauge", "strands", "mm2", "tolerance"), B_AND_S)
def test_b_and_s_holds_what_is_sold_and_the_awg_figure(
    gauge: str, strands: str, mm2: float, tolerance: float
) -> None:
    span = size(f"{gauge} B&S")
    assert span.contains(mm2)
    assert span.contains(size(f"{gauge} AWG").lo)
    assert span.hi / span.lo < 1.09
    assert size(strands).lo == pytest.approx(mm2, abs=tolerance)


# SAE gauge | circular mils | percent less copper than AWG.
# Source: marine wire maker, appendix table with AWG and SAE columns (no year, read on a public page).
SAE = [
    ("18", 1537, 5.4),
    ("16", 2336, 9.6),
    ("14", 3702, 9.9),
    ("12", 5833, 10.7),
    ("10", 9343, 10.0),
    ("8", 14810, 10.3),
    ("6", 24538, 6.5),
    ("4", 37360, 10.5),
    ("2", 62450, 5.9),
    ("1", 77790, 7.1),
    ("1/0", 98980, 6.2),
    ("2/0", 125100, 6.0),
    ("3/0", 158600, 5.5),
    ("4/0", 205500, 2.9),
]


@pytest.mark.parametrize(("gauge", "cmil", "less"), SAE)
def test_sae_holds_its_published_copper_and_always_less_than_awg(gauge: str, cmil: int, less: float) -> None:
    span, awg = size(f"{gauge} SAE"), size(f"{gauge} AWG").lo
    listed = cmil * math.pi / 4 * 0.0254**2
    assert span.lo <= listed <= span.hi * (1 + 1e-12)
    assert span.hi < awg
    assert 100 * (1 - listed / awg) == pytest.approx(less, abs=0.06)
    # "7 to 12 % less": common practice, no source.
    assert span.contains(0.88 * awg)
    assert span.contains(0.93 * awg)


def test_sae_and_awg_of_one_number_never_overlap() -> None:
    assert all(
        sae_area(gauge).meet(Span(awg_area(gauge), awg_area(gauge))) is None for gauge in (18, 8, 0, -3)
    )


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        # NIST Special Publication 811, guide to the SI, 2008, appendix B, from memory.
        ("1 in", "length", 0.0254),
        ("1 ft", "length", 0.3048),
        ("1 lb", "mass", 0.4535924),
        ("1 in-lb", "torque", 0.1129848),
        ("1 ft-lb", "torque", 1.355818),
        ("1 cmil", "area", 5.067075e-4),
        ("212 F", "temperature", 100),
    ],
)
def test_units_against_the_guide_to_the_si(text: str, dimension: str, value: float) -> None:
    written = parse(text, dimension)
    assert written is not None
    assert written.domain.lo == pytest.approx(value, rel=1e-6)
