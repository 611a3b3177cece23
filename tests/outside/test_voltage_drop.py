"""Voltage lost in cables against worked examples, the trade formula and the standard's limit."""

from types import SimpleNamespace

import pytest

from ringout.physics.ampacity import ampacity_a
from ringout.physics.formulas import conductor_ohm, copper_ohm_mm2_m, drop_share, drop_v
from ringout.quantity.conductor import MM2_PER_CMIL, awg_area
from ringout.quantity.span import Span
from ringout.rulebase.limits import limits

RHO = 0.017241
ALPHA = 0.00393
FOOT_M = 0.3048  # NIST Special Publication 811, guide to the SI, 2008, from memory
TRADE_K_AT_C = 29.3
"""Copper temperature at which the trade formula's K of 10.75 holds."""


def copper_ohm(length_m: float, area_mm2: float, temperature_c: float, stranding: float = 1.0) -> float:
    return float(conductor_ohm(copper_ohm_mm2_m(temperature_c, stranding, RHO, ALPHA), length_m, area_mm2, 0.0))


@pytest.mark.published("VD-M*", "VD-HOOK*")
def test_worked_examples(value: SimpleNamespace) -> None:
    its = value.inputs
    stranding = its["ohm_per_km"] * its["area_mm2"] / (1000 * RHO)
    both_ways = copper_ohm(2 * its["one_way_m"], its["area_mm2"], 20, stranding)
    assert drop_v(its["current_a"], both_ways) == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("VD-K", "VD-K129")
def test_the_constant_of_the_trade_formula_is_copper_at_a_temperature(value: SimpleNamespace) -> None:
    found = copper_ohm(FOOT_M, MM2_PER_CMIL, value.inputs["temperature_c"])
    assert found == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("VD-CM2", "VD-CM3")
def test_the_circular_mils_of_a_chart_lose_the_volts_they_are_meant_to(value: SimpleNamespace) -> None:
    its = value.inputs
    ohm = copper_ohm(its["circuit_ft"] * FOOT_M, value.expected * MM2_PER_CMIL, TRADE_K_AT_C)
    one_cmil_more = value.tolerance / value.expected
    assert drop_v(its["current_a"], ohm) == pytest.approx(its["lost_v"], rel=one_cmil_more)


@pytest.mark.published("VD-CM4")
def test_a_cable_that_loses_little_may_still_be_too_thin_for_the_current(value: SimpleNamespace) -> None:
    its = value.inputs
    thin, right = int(its["by_drop_alone"]), int(value.expected)
    length_m = its["circuit_ft"] * FOOT_M
    assert float(drop_v(its["current_a"], copper_ohm(length_m, awg_area(thin), TRADE_K_AT_C))) < its["lost_v"]
    assert ampacity_a(awg_area(thin), 105) < its["current_a"] <= ampacity_a(awg_area(right), 105)


@pytest.mark.published("VD-ABYC10")
def test_the_limit_for_any_load(value: SimpleNamespace) -> None:
    domain = limits()["load_lead_drop_severe"].leaves[""].domain
    assert domain == Span(value.expected / 100, value.expected / 100)
    assert drop_share(1.2, 12.0) == pytest.approx(value.expected / 100)
