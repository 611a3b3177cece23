"""Inverter input, the loop through a battery's own charger and start current, against worked examples."""

from types import SimpleNamespace

import pytest

from ringout.physics.formulas import against_rating, inverter_input_a, loop_net_a, loop_out_a


@pytest.mark.published("INV-I*", "INV-RULE10")
def test_direct_current_into_an_inverter(value: SimpleNamespace) -> None:
    its = value.inputs
    found = inverter_input_a(its["power_w"], its["volts"], its["efficiency"])
    assert found == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("INV-LOOP")
def test_what_a_loop_loses_of_the_power_that_goes_round(value: SimpleNamespace) -> None:
    its = value.inputs
    loop = (20.0, 12.8, its["charger_efficiency"], its["inverter_efficiency"], 0.0)
    found = 100 * float(loop_net_a(*loop)) / float(loop_out_a(*loop))
    assert found == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("INV-LRAEX")
def test_start_current_against_what_the_inverter_gives(value: SimpleNamespace) -> None:
    found = against_rating(value.inputs["start_a"], value.inputs["surge_a"])
    assert found == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("TRADE-LOOP")
def test_the_loop_draws_tens_of_amperes_and_gives_a_few_less_back(value: SimpleNamespace) -> None:
    its = value.inputs
    least, most = value.expected
    for charger_a in its["charger_a"]:
        for charger in its["charger_efficiency"]:
            for inverter in its["inverter_efficiency"]:
                for idle_w in its["idle_w"]:
                    loop = (charger_a, its["volts"], charger, inverter, idle_w)
                    out, net = float(loop_out_a(*loop)), float(loop_net_a(*loop))
                    assert least < out < most
                    assert out - net == pytest.approx(charger_a), "what comes back is the charger's output"
                    assert 0 < net < out / 2
