"""What joins banks: the loop that a link closes, and the one that nobody drew."""

import pytest

from ringout.case.load import load_text
from ringout.facts.gather import gather
from ringout.inference.chain import Said
from ringout.plan.what_if import what_if
from ringout.quantity.span import Choice
from ringout.quantity.traced import domain_of
from ringout.review.review import review

PARTS = """\
  start: {kind: battery, chemistry: flooded, nominal: 12 V, capacity: 90 Ah, duty: start}
  house: {kind: battery, chemistry: LFP, nominal: 12 V, capacity: 200 Ah}
  inv: {kind: inverter, rating: 1000 W}
  chg: {kind: mains_charger, output: 20 A}
"""
BOTH = "start = chg\nhouse = inv\n"
ALL = "looked_for: {bank_link: all, dc_charger: none seen}"
VSR = "  vsr: {kind: bank_link, sort: voltage_sensing, trigger: voltage, state: works, directions: both_ways}\n"


def text(part: str = "", dc: str = "", looked: str = "") -> str:
    rows = ["case: the hide on the dyke", "parts:", (PARTS + part).rstrip(), "dc:"]
    rows += [f"  - {line}" for line in (BOTH + dc).splitlines()]
    return "\n".join([*rows, "ac:", "  - inv > chg", looked])


def passes(part: str = "", dc: str = "", looked: str = "", bank: str = "house", source: str = "start") -> set[str]:
    made = {fact.id: fact for fact in gather(load_text(text(part, dc, looked), "hide.yaml"))}
    domain = domain_of(made[f"filled_from({bank}, {source})"].values["passes"])
    assert isinstance(domain, Choice)
    return set(domain.options)


def loop(part: str = "", dc: str = "", looked: str = "") -> Said:
    said = review(load_text(text(part, dc, looked), "hide.yaml"), "plain").chained.said
    return next(each for each in said if each.rule.name == "charger-fed-by-its-own-battery")


def test_a_bank_reaches_itself() -> None:
    assert passes(bank="house", source="house") == {"yes"}


def test_a_link_that_nobody_drew_leaves_the_loop_open() -> None:
    said = loop()
    assert said.verdict.value == "not known"
    assert said.step is not None
    paths = {leaf.path for leaf in said.step.needs}
    assert {"looked_for.bank_link", "looked_for.dc_charger", "house.link_to_others"} <= paths
    assert passes(looked="looked_for: {bank_link: some, dc_charger: all}") == {"yes", "no"}
    assert passes(looked="looked_for: {bank_link: all}") == {"yes", "no"}, "an in-vehicle charger joins them too"


def test_nothing_between_two_banks_is_right_where_all_was_looked_for() -> None:
    assert loop(looked=ALL).verdict.value == "right"


def test_a_relay_that_closes_on_volts_closes_the_loop() -> None:
    said = loop(VSR, "start+ = vsr = house+", ALL)
    assert said.verdict.value == "wrong"


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("sort: left_over_wire", {"yes"}),
        ("sort: diode_splitter, state: works", {"no"}),
        ("sort: diode_splitter", {"yes", "no"}),
        ("sort: voltage_sensing, trigger: always, state: works", {"yes"}),
        ("sort: voltage_sensing, trigger: always", {"yes", "no"}),
        ("sort: voltage_sensing, trigger: voltage, state: stuck_open", {"no"}),
        ("sort: ignition_solenoid, trigger: ignition, state: works", {"no"}),
        ("sort: ignition_solenoid, trigger: ignition", {"yes", "no"}),
        ("sort: ignition_solenoid, trigger: ignition, state: stuck_closed", {"yes"}),
        ("sort: hand_switch, trigger: hand, state: works", {"yes"}),
        ("rating: 100 A", {"yes", "no"}),
    ],
)
def test_a_drawn_link_passes_by_its_sort_trigger_and_state(words: str, expected: set[str]) -> None:
    assert passes(f"  l: {{kind: bank_link, {words}}}\n", "start+ = l = house+", ALL) == expected


@pytest.mark.parametrize(("way", "expected"), [("start+ = l = house+", {"yes"}), ("house+ = l = start+", {"no"})])
def test_a_one_way_link_passes_one_way(way: str, expected: set[str]) -> None:
    link = "  l: {kind: bank_link, sort: voltage_sensing, trigger: voltage, state: works, directions: one_way}\n"
    assert passes(link, way, ALL) == expected


def test_a_link_of_which_an_end_is_not_drawn_may_lie_between_any_banks() -> None:
    assert passes(VSR, "", ALL) == {"yes", "no"}
    assert passes(VSR, "start+ = vsr", ALL) == {"yes", "no"}


@pytest.mark.parametrize("word", ["yes", "no"])
def test_a_link_half_drawn_joins_the_banks_where_somebody_saw_it_do_so(word: str) -> None:
    assert passes(VSR.replace("both_ways", f"both_ways, joins_banks: {word}"), "start+ = vsr", ALL) == {word}


@pytest.mark.parametrize("bank", ["start", "house"])
@pytest.mark.parametrize(("word", "verdict"), [("yes", "wrong"), ("no", "right")])
def test_a_link_that_nobody_drew_can_be_told_of_either_bank(bank: str, word: str, verdict: str) -> None:
    case = what_if(load_text(text(), "hide.yaml"), {f"{bank}.link_to_others": word})
    said = next(x for x in review(case, "plain").chained.said if x.rule.name == "charger-fed-by-its-own-battery")
    assert said.verdict.value == verdict
    asked = {need.path for need in review(load_text(text(), "hide.yaml"), "plain").needs}
    assert {"house.link_to_others", "looked_for.bank_link", "looked_for.dc_charger"} & asked


def test_of_two_banks_a_link_told_of_one_is_not_taken_away_by_the_other() -> None:
    made = load_text(text(), "hide.yaml")
    case = what_if(made, {"house.link_to_others": "yes", "start.link_to_others": "no"})
    facts = {fact.id: fact for fact in gather(case)}
    assert domain_of(facts["filled_from(house, start)"].values["passes"]) == Choice(frozenset({"yes"}))


@pytest.mark.parametrize(
    ("house", "start", "expected"),
    [("yes", "yes", {"yes"}), ("yes", "no", {"no"}), ("yes", "unknown", {"yes", "no"}), ("no", "unknown", {"no"})],
)
def test_of_three_banks_a_link_takes_two(house: str, start: str, expected: set[str]) -> None:
    third = "  winch: {kind: battery, chemistry: AGM, nominal: 12 V}\n  lamp: {kind: dc_load}\n"
    written = text(third, "winch = lamp\n").replace("200 Ah}", f"200 Ah, link_to_others: {house}}}")
    written = written.replace("duty: start}", f"duty: start, link_to_others: {start}}}")
    facts = {fact.id: fact for fact in gather(load_text(written, "hide.yaml"))}
    domain = domain_of(facts["filled_from(house, start)"].values["passes"])
    assert isinstance(domain, Choice) and domain.options == expected


@pytest.mark.parametrize(("trigger", "expected"), [("voltage", {"yes"}), ("none", {"yes"}), ("ignition", {"no"})])
def test_an_in_vehicle_charger_passes_by_what_switches_it_on(trigger: str, expected: set[str]) -> None:
    part = f"  drive: {{kind: dc_charger, trigger: {trigger}}}\n"
    its = (part, "start = drive.in\ndrive = house", "looked_for: {bank_link: none seen, dc_charger: all}")
    assert passes(*its) == expected
    assert passes(*its, bank="start", source="house") == {"no"}
