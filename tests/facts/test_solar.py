"""Facts of solar: what panels could give, which panels a controller has, string volts cold and hot."""

import pytest

from ringout.case.load import load_text
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.quantity.span import Span
from ringout.quantity.traced import domain_of

BATTERY = "b1: {kind: battery, chemistry: LFP, nominal: 12 V}"
CONTROLLER = "mppt: {kind: solar_controller, rating: 30 A, max_input_voltage: 100 V}"
PANEL = "roof: {kind: solar_panel, count: 2, power: 200 W, in_series: 2, in_parallel: 1, open_circuit: 24 V, "
PANEL += "max_power_voltage: 20 V, short_circuit: 10 A, voltage_coefficient: -0.3 %/K}"


def facts(parts: str, dc: str = "", **more: str) -> dict[str, Fact]:
    rows = ["case: the reed hut", "parts:", *(f"  {line}" for line in parts.strip().splitlines())]
    rows += ["dc:", *(f"  - {line}" for line in dc.strip().splitlines())] if dc else []
    rows += [f"{key}: {value}" for key, value in more.items()]
    return {fact.id: fact for fact in gather(load_text("\n".join(rows), "hut.yaml"))}


def span(made: dict[str, Fact], id: str, name: str) -> tuple[float, float]:
    domain = domain_of(made[id].values[name])
    assert isinstance(domain, Span)
    return domain.lo, domain.hi


def yields(made: dict[str, Fact]) -> list[str]:
    return [id for id in made if id.startswith("solar_yield")]


def test_panels_push_their_power_at_the_charging_volts() -> None:
    made = facts(f"{BATTERY}\n{CONTROLLER}\n{PANEL}")
    # 400 W at 13.3 to 14.6 V
    assert span(made, "solar_yield(mppt, b1)", "current") == pytest.approx((400 / 14.6, 400 / 13.3))
    assert span(made, "solar_yield(mppt, b1)", "over") == pytest.approx((400 / 14.6 / 30, 400 / 13.3 / 30))


def test_a_string_is_highest_when_coldest_and_lowest_on_a_hot_roof() -> None:
    made = facts(f"{BATTERY}\n{CONTROLLER}\n{PANEL}", surroundings="{lowest: -5 C}")
    # 30 K below 25 C at -0.3 % a kelvin: 9 % above, up to 2.5 % more than the straight line of the label; 55 to
    # 75 C: 9 to 15 % below
    assert span(made, "panel_string(mppt, roof, b1)", "voltage_cold") == pytest.approx((52.32, 53.628))
    assert span(made, "panel_string(mppt, roof, b1)", "voltage_hot") == pytest.approx((34.0, 36.4))
    assert span(made, "panel_string(mppt, roof, b1)", "current") == (10, 10)
    assert span(made, "panel_string(mppt, roof, b1)", "limit_voltage") == (100, 100)


def test_unwired_panels_belong_to_the_only_controller() -> None:
    assert yields(facts(f"{BATTERY}\n{CONTROLLER}\n{PANEL}")) == ["solar_yield(mppt, b1)"]
    second = "aft: {kind: solar_controller, rating: 10 A}"
    assert yields(facts(f"{BATTERY}\n{CONTROLLER}\n{second}\n{PANEL}")) == []


def test_wired_panels_belong_to_their_own_controller() -> None:
    parts = f"{BATTERY}\n{CONTROLLER}\naft: {{kind: solar_controller, rating: 10 A}}\n{PANEL}\n"
    parts += "blanket: {kind: solar_panel, power: 100 W}"
    made = facts(parts, "roof = mppt.pv\nblanket = aft.pv")
    assert yields(made) == ["solar_yield(aft, b1)", "solar_yield(mppt, b1)"]
    assert span(made, "solar_yield(aft, b1)", "current") == pytest.approx((100 / 14.6, 100 / 13.3))


def test_a_controller_without_panels_or_on_another_bank_yields_nothing() -> None:
    assert yields(facts(f"{BATTERY}\n{CONTROLLER}")) == []
    apart = f"{BATTERY}\nb2: {{kind: battery, duty: start}}\n{CONTROLLER}\n{PANEL}\npump: {{kind: dc_load}}"
    assert yields(facts(apart, "b1 = mppt\nb2 = pump")) == ["solar_yield(mppt, b1)"]


def test_panels_drawn_one_behind_the_other_add_their_volts() -> None:
    parts = "\n".join([BATTERY, CONTROLLER, PANEL, PANEL.replace("roof:", "deck:")])
    alone = span(facts(f"{BATTERY}\n{CONTROLLER}\n{PANEL}"), "panel_string(mppt, roof, b1)", "voltage_hot")
    row = facts(parts, "mppt.pv+ = roof+\nroof- = deck+\ndeck- = mppt.pv-")
    for panel in ("roof", "deck"):
        volts = span(row, f"panel_string(mppt, {panel}, b1)", "voltage_hot")
        assert volts == pytest.approx([2 * each for each in alone])
    side = facts(parts, "mppt.pv = roof\nmppt.pv = deck")
    assert span(side, "panel_string(mppt, deck, b1)", "voltage_hot") == pytest.approx(alone)
