"""Panels in the cold and the current of controllers, against worked examples, the code and a module table."""

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import yaml

from ringout.case.form import form
from ringout.physics.formulas import controller_output_a, string_v
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Span

MODULES: list[dict[str, Any]] = yaml.safe_load(Path(__file__).with_name("modules.yaml").read_text("utf-8"))
COLDEST = -10.0
STRAIGHT_LINE = 0.025
"""How far a straight line may stand from the single-diode model at -10 C; the worst row is 2.2 % off."""

module = pytest.mark.parametrize("module", MODULES, ids=[f"row {each['row']}" for each in MODULES])


def slopes() -> Span:
    """What is taken of a panel whose temperature coefficient nobody read."""
    domain = form("solar_panel").fields["voltage_coefficient"].bounds
    assert isinstance(domain, Span)
    return domain


@pytest.mark.published("PV-VOC*", "PV-CEC")
def test_worked_examples_of_the_cold(value: SimpleNamespace) -> None:
    its = value.inputs
    found = string_v(its["series"], its["volts_25"], its["percent_per_k"] / 100, its["coldest_c"])
    assert found == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("PVmT6907_*")
def test_the_code_s_factor_is_a_little_above_the_median_module(value: SimpleNamespace) -> None:
    median = float(string_v(1, 1, -0.00337, value.inputs["coldest_c"]))
    assert 0 < value.expected - median < 0.035


@pytest.mark.published("PV-TABEX")
def test_the_factor_of_the_right_row_and_not_of_the_wrong_one(value: SimpleNamespace) -> None:
    its = value.inputs
    slope = (its["factor"] - 1) / (its["coldest_c"] - 25)
    found = string_v(its["series"], its["volts_25"], slope, its["coldest_c"])
    assert found == pytest.approx(value.expected, abs=value.tolerance)
    mildest = float(string_v(its["series"], its["volts_25"], slopes().hi, its["coldest_c"]))
    assert mildest > its["wrong"], "no panel is as mild as the wrong row says"


@pytest.mark.published("PV-BETA")
def test_an_unread_coefficient_spans_the_usual_ones(value: SimpleNamespace) -> None:
    for percent in (value.expected, *value.inputs["from_5_to_95_percent"]):
        assert slopes().contains(percent / 100)


@pytest.mark.published("PV-MPPT2")
def test_current_through_an_ideal_controller(value: SimpleNamespace) -> None:
    found = controller_output_a(value.inputs["power_w"], value.inputs["volts"])
    assert found == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("PV-MPPT4", "PV-FIFTY")
def test_the_power_that_fills_a_controller(value: SimpleNamespace) -> None:
    its = value.inputs
    slack = value.tolerance / its["volts"]
    assert controller_output_a(value.expected, its["volts"]) == pytest.approx(its["current_a"], abs=slack)


@module
def test_a_straight_line_against_the_single_diode_model(module: dict[str, Any]) -> None:
    found = string_v(1, module["volts"], module["slope"] / module["volts"], COLDEST)
    assert found == pytest.approx(module["cold"], rel=STRAIGHT_LINE)


@module
def test_a_panel_whose_coefficient_nobody_read_spans_the_model(module: dict[str, Any]) -> None:
    volts, cold, one = (
        Leaf(name, Span(x, x)) for name, x in (("volts", module["volts"]), ("cold", COLDEST), ("one", 1.0))
    )
    domain = string_v.of(one, volts, Leaf("slope", slopes(), "ratio_per_kelvin"), cold).domain()
    assert isinstance(domain, Span)
    assert domain.contains(module["cold"])


def test_rows_are_many_and_different() -> None:
    assert len({each["row"] for each in MODULES}) == len(MODULES) == 20
    assert {each["sort"] for each in MODULES} == {"mono crystalline", "multi crystalline", "thin film"}
