"""Resistance of copper against the standards for conductors and the code's table."""

from types import SimpleNamespace

import pytest

from ringout.physics.formulas import conductor_ohm, copper_ohm_mm2_m
from ringout.physics.tables import constant
from ringout.quantity.conductor import awg_area
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Span

RHO = 0.017241
ALPHA = 0.00393
FOOT_M = 0.3048  # NIST Special Publication 811, guide to the SI, 2008, from memory
GAUGES = {f"{n}/0": 1 - n for n in range(1, 5)} | {str(n): n for n in range(1, 41)}


def solid_ohm(length_m: float, area_mm2: float, temperature_c: float, alpha: float = ALPHA) -> float:
    return float(conductor_ohm(copper_ohm_mm2_m(temperature_c, 1.0, RHO, alpha), length_m, area_mm2, 0.0))


def any_strand_ohm(length_m: float, area_mm2: float, temperature_c: float) -> Span:
    """Resistance with the stranding of the tables left open."""
    numbers = (length_m, area_mm2, temperature_c, 0.0)
    length, area, temperature, lug = (Leaf(f"n{n}", Span(x, x)) for n, x in enumerate(numbers))
    rho, alpha = constant("resistivity_20"), constant("temperature_coefficient")
    copper = copper_ohm_mm2_m.of(temperature, constant("stranding"), rho, alpha)
    domain = conductor_ohm.of(copper, length, area, lug).domain()
    assert isinstance(domain, Span)
    return domain


@pytest.mark.published("CON-RHO")
def test_resistivity(value: SimpleNamespace) -> None:
    assert constant("resistivity_20").domain == Span(value.expected, value.expected)
    assert value.expected == RHO


@pytest.mark.published("CON-SIGMA")
def test_conductivity(value: SimpleNamespace) -> None:
    sigma = 1 / RHO
    assert sigma == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("CON-ALPHA")
def test_temperature_coefficient(value: SimpleNamespace) -> None:
    assert constant("temperature_coefficient").domain == Span(value.expected, value.expected)
    assert value.expected == ALPHA


@pytest.mark.published("CON-C2-*", "CON-C5-*", "CON-C5T-*")
def test_the_most_a_standard_allows_lies_in_the_range_of_stranding(value: SimpleNamespace) -> None:
    ohm_per_km = any_strand_ohm(1000, value.inputs["area_mm2"], 20)
    assert ohm_per_km.contains(value.expected)
    assert ohm_per_km.hi / ohm_per_km.lo <= 1.2 + 1e-9, "the range must stay a help"


@pytest.mark.published("CON-RT*")
def test_a_warm_conductor_against_one_at_20_c(value: SimpleNamespace) -> None:
    warm = solid_ohm(1, 1, value.inputs["temperature_c"], value.inputs["alpha"])
    assert warm / solid_ohm(1, 1, 20) == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("CON-KT*")
def test_the_factor_back_to_20_c(value: SimpleNamespace) -> None:
    warm = solid_ohm(1, 1, value.inputs["temperature_c"], value.inputs["alpha"])
    assert solid_ohm(1, 1, 20) / warm == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("CON-AWG-R20-*")
def test_a_solid_gauge_size(value: SimpleNamespace) -> None:
    found = solid_ohm(1000, awg_area(GAUGES[value.inputs["awg"]]), 20)
    assert found == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("CON-NEC8-*")
def test_a_stranded_gauge_size_at_75_c(value: SimpleNamespace) -> None:
    area = awg_area(GAUGES[value.inputs["awg"]])
    assert any_strand_ohm(1000 * FOOT_M, area, 75).contains(value.expected)
    assert value.expected > 1.01 * solid_ohm(1000 * FOOT_M, area, 75)


@pytest.mark.published("CON-NEC8S-*")
def test_figures_printed_as_stranded_are_those_of_solid_wire(value: SimpleNamespace) -> None:
    found = solid_ohm(1000 * FOOT_M, awg_area(GAUGES[value.inputs["awg"]]), 75)
    assert found == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("CON-OLDCHART-8")
def test_a_misprint_is_not_reproduced(value: SimpleNamespace) -> None:
    found = solid_ohm(1000 * FOOT_M, awg_area(GAUGES[value.inputs["awg"]]), 20)
    assert found == pytest.approx(0.628, abs=0.0005)
    assert found != pytest.approx(value.expected, rel=0.03)
