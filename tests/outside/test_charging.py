"""Charge limits by battery type against published voltages and currents."""

from types import SimpleNamespace

import pytest

from ringout.physics.tables import constant
from ringout.quantity.span import Span
from ringout.rulebase.limits import limits

LEAD = ("flooded", "sealed_flooded", "EFB", "AGM")


def absorption(chemistry: str) -> list[float]:
    """The lowest and the highest absorption voltage (V) for a type."""
    return [limit("absorption_least", chemistry), limit("absorption_most", chemistry)]


def limit(name: str, word: str = "") -> float:
    domain = limits()[name].leaves[word].domain
    assert isinstance(domain, Span) and domain.exact
    return domain.lo


@pytest.mark.published("CH-LFP-ABS")
def test_absorption_of_lithium_iron_phosphate(value: SimpleNamespace) -> None:
    assert absorption(value.inputs["chemistry"]) == pytest.approx(value.expected)


@pytest.mark.published("CH-LFP-CELL")
def test_the_limits_are_those_of_its_cells(value: SimpleNamespace) -> None:
    four = [value.inputs["cells"] * volts for volts in value.expected]
    assert absorption(value.inputs["chemistry"]) == pytest.approx(four)


@pytest.mark.published("CH-LFP-FLOAT")
def test_float_of_lithium_iron_phosphate(value: SimpleNamespace) -> None:
    assert limit("float_most", "LFP") == pytest.approx(value.expected[1])


@pytest.mark.published("CH-LFP-TMIN")
def test_the_coldest_charge_of_lithium_iron_phosphate(value: SimpleNamespace) -> None:
    assert constant("lithium_coldest_charge").domain == Span(value.expected, value.expected)


@pytest.mark.published("CH-ABS")
@pytest.mark.parametrize("chemistry", [*LEAD, "gel"])
def test_usual_absorption_of_lead_is_within_its_limits(value: SimpleNamespace, chemistry: str) -> None:
    usual = value.inputs["cells"] * value.expected
    least, most = absorption(chemistry)
    assert least - 1e-9 <= usual <= most + 1e-9


@pytest.mark.published("CH-SLA")
@pytest.mark.parametrize("chemistry", ["sealed_flooded", "AGM"])
def test_a_sealed_battery_as_published_is_not_blamed(value: SimpleNamespace, chemistry: str) -> None:
    fast, held = (value.inputs["cells"] * volts for volts in value.expected)
    least, most = absorption(chemistry)
    assert least <= fast <= most
    assert held <= limit("float_most", chemistry)


@pytest.mark.published("CH-FL-FLOAT", "CH-AGM-FLOAT", "CH-FL-FLOAT2", "CH-GEL-FLOAT")
def test_a_published_float_voltage_is_not_blamed(value: SimpleNamespace) -> None:
    # Where two sources differ, the limit must let both pass.
    assert value.expected <= limit("float_most", value.inputs["chemistry"])


@pytest.mark.published("CH-EQ")
def test_equalising_is_above_absorption_and_not_beyond_what_harms(value: SimpleNamespace) -> None:
    assert limit("absorption_most", value.inputs["chemistry"]) < value.expected
    assert limit("absorption_far_too_high") == pytest.approx(value.expected)


@pytest.mark.published("CH-PB-I")
def test_a_charger_within_the_usual_range_is_not_called_small(value: SimpleNamespace) -> None:
    assert limit("least_charge_rate") <= value.expected[0] / 2 + 1e-12


@pytest.mark.published("CH-BADSRC")
def test_lithium_iron_phosphate_is_not_compensated(value: SimpleNamespace) -> None:
    assert value.expected > limit("absorption_far_too_high") > limit("absorption_most", "LFP")
