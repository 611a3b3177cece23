"""Facts of the engine's supply: in-vehicle chargers on one alternator are added up."""

import pytest

from ringout.case.load import load_text
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import domain_of

PARTS = """\
house: {kind: battery}
start: {kind: battery, duty: start}
alt: {kind: alternator%s}
one: {kind: dc_charger, input: 33 A%s}
two: {kind: dc_charger, input: 20 A}
"""


def loads(parts: str, dc: str = "") -> dict[str, Fact]:
    rows = ["case: the ringers' bus", "parts:", *(f"  {line}" for line in parts.strip().splitlines())]
    rows += ["dc:", *(f"  - {line}" for line in dc.splitlines())] if dc else []
    return {fact.id: fact for fact in gather(load_text("\n".join(rows), "bus.yaml")) if fact.type == "engine_load"}


def span(fact: Fact, name: str) -> tuple[float, float]:
    domain = domain_of(fact.values[name])
    assert isinstance(domain, Span)
    return domain.lo, domain.hi


def on(fact: Fact) -> set[str]:
    domain = domain_of(fact.values["on"])
    assert isinstance(domain, Choice)
    return set(domain.options)


def test_all_that_hang_on_one_alternator_are_added_up() -> None:
    made = loads(PARTS % (", hot_output: 60 A", ""))
    for charger, own in (("one", 33), ("two", 20)):
        fact = made[f"engine_load({charger}, alt)"]
        assert on(fact) == {"yes"}
        assert span(fact, "own") == (own, own)
        assert span(fact, "all") == (53, 53)
        assert span(fact, "hot") == (60, 60)


def test_several_alike_written_as_one_count_as_many() -> None:
    made = loads(PARTS % (", count: 2, idle_output: 40 A", ", count: 2"))
    assert span(made["engine_load(one, alt)"], "own") == (66, 66)
    assert span(made["engine_load(two, alt)"], "all") == (86, 86)
    assert span(made["engine_load(two, alt)"], "idle") == (80, 80)
    open_count = loads(PARTS % ("", ", count: 1..3"))
    assert span(open_count["engine_load(two, alt)"], "all") == (53, 119)


def test_one_that_takes_from_a_battery_which_no_engine_charges_is_left_out() -> None:
    parts = PARTS % ("", "")
    made = loads(parts, "alt = start : 16 mm2, 1 m\none.in+ = start+ : 16 mm2, 1 m\ntwo.in+ = house+ : 16 mm2, 1 m")
    assert on(made["engine_load(one, alt)"]) == {"yes"}
    assert on(made["engine_load(two, alt)"]) == {"no"}
    assert span(made["engine_load(one, alt)"], "all") == (33, 33)


@pytest.mark.parametrize("dc", ["", "one.in+ = start+ : 16 mm2, 1 m", "alt = start : 16 mm2, 1 m"])
def test_what_is_half_drawn_hangs_on_the_only_alternator(dc: str) -> None:
    made = loads(PARTS % ("", ""), dc)
    assert [on(fact) for fact in made.values()] == [{"yes"}, {"yes"}]


def test_a_link_may_bring_the_engine_to_another_battery() -> None:
    dc = "alt = start : 16 mm2, 1 m\ntwo.in+ = house+ : 16 mm2, 1 m"
    made = loads(PARTS % ("", "") + "link: {kind: bank_link}", dc)
    assert on(made["engine_load(two, alt)"]) == {"yes"}


def test_of_two_alternators_each_may_be_the_one_until_it_is_drawn() -> None:
    parts = PARTS % ("", "") + "second: {kind: alternator}"
    made = loads(parts)
    assert on(made["engine_load(one, alt)"]) == {"yes", "no"}
    assert span(made["engine_load(one, alt)"], "all") == (0, 53)
    drawn = loads(parts, "alt = start : 16 mm2, 1 m\none.in+ = start+ : 16 mm2, 1 m")
    assert on(drawn["engine_load(one, alt)"]) == {"yes"}
    assert on(drawn["engine_load(one, second)"]) == {"no"}


def test_without_an_alternator_there_is_nothing_to_compare_with() -> None:
    assert loads("house: {kind: battery}\none: {kind: dc_charger}") == {}


# -- the lead from the engine --------------------------------------------------------------------------------


def lead(dc: str, charger: str = "input: 40 A, nominal_in: 12 V") -> Fact | None:
    parts = ["house: {kind: battery}", "start: {kind: battery, duty: start}", "alt: {kind: alternator}"]
    parts += [f"drive: {{kind: dc_charger, {charger}}}", "bars: {kind: busbars}"]
    rows = ["case: the ringers' bus", "dc_volts: 12 V", "parts:", *(f"  {line}" for line in parts)]
    rows += ["dc:", *(f"  - {line}" for line in dc.splitlines())]
    made = {fact.id: fact for fact in gather(load_text("\n".join(rows), "bus.yaml"))}
    return made.get("engine_lead(drive)")


OUT = "house = drive : 16 mm2, 0.5 m\n"
BEST = 0.017241 * (1 - 0.00393 * 5)


def test_the_lead_to_the_input_is_judged_at_the_input_current_and_not_that_to_the_battery() -> None:
    fact = lead(OUT + "start = drive.in : 6 mm2, 5 m")
    assert fact is not None
    assert span(fact, "drop")[0] == pytest.approx(40 * 2 * (BEST * 5 / 6 + 2 * 0.00005))
    assert span(fact, "drop_12") == pytest.approx(span(fact, "drop"))
    thick = lead("house = drive : 6 mm2, 5 m\nstart = drive.in : 70 mm2, 0.5 m")
    assert thick is not None
    assert span(thick, "drop")[1] < 0.1, "that its other lead is thin is judged elsewhere"


def test_it_may_come_from_the_alternator_and_the_volts_are_brought_to_12() -> None:
    truck = lead(OUT + "alt = drive.in : 6 mm2, 5 m", "input: 40 A, nominal_in: 24 V")
    assert truck is not None
    assert span(truck, "drop_12")[0] == pytest.approx(span(truck, "drop")[0] / 2)


def test_several_alike_on_one_lead_take_as_many_times_the_current() -> None:
    one, two = (lead(OUT + "start = drive.in : 6 mm2, 5 m", f"count: {count}, input: 40 A") for count in (1, 2))
    assert one is not None and two is not None
    assert span(two, "drop")[0] == pytest.approx(2 * span(one, "drop")[0])


def test_a_lead_of_which_one_conductor_is_drawn_or_none_gives_no_figure() -> None:
    assert lead(OUT) is None
    assert lead(OUT + "start+ = drive.in+ : 6 mm2, 5 m") is None
