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
