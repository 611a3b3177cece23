"""Which sources a changeover chooses between, and which the drawing keeps apart."""

from ringout.case.load import load_text
from ringout.system.meeting import Meeting
from ringout.system.supply import Supply

PARTS = """\
inlet: {kind: inlet}
inv: {kind: inverter}
small: {kind: inverter}
gen: {kind: generator%s}
co: {kind: changeover}
second: {kind: changeover}
gpo: {kind: outlet}
desk: {kind: outlet}
combi: {kind: inverter_charger}
"""


def meeting(ac: str, generator: str = ", connected: appliance_only", parts: str = PARTS) -> Meeting:
    rows = ["case: the ringers' van", "parts:", *(f"  {line}" for line in (parts % generator).splitlines())]
    rows += ["ac:", *(f"  - {line}" for line in ac.splitlines())]
    case = load_text("\n".join(rows), "van.yaml")
    return Meeting(case, Supply(case))


def at(made: Meeting, changeover: str = "co") -> list[tuple[str, str]]:
    return made.at(made.case.parts[changeover])


def test_a_changeover_chooses_between_what_lies_at_its_inputs() -> None:
    assert at(meeting("inlet > co.shore\ninv > co.inverter\nco > gpo\nsmall > desk")) == [("inlet", "inv")]
    three = meeting("inlet > co.a\ninv > co.b\ngen > co.c\nco > gpo")
    assert at(three) == [("gen", "inlet"), ("gen", "inv"), ("inlet", "inv")]


def test_what_one_changeover_chose_lies_at_one_input_of_the_next() -> None:
    made = meeting("inlet > second.a\ngen > second.b\nsecond > co.shore\ninv > co.inverter\nco > gpo")
    assert at(made, "second") == [("gen", "inlet")]
    assert at(made) == [("gen", "inv"), ("inlet", "inv")]


def test_a_generator_by_a_lead_lies_where_the_inlet_does() -> None:
    made = meeting("inlet > co.shore\ninv > co.inverter\nco > gpo", ", connected: by_lead_to_inlet")
    assert at(made) == [("gen", "inv"), ("inlet", "inv")]
    assert made.parted("gen", "inv")
    unknown = meeting("inlet > co.shore\ninv > co.inverter\nco > gpo", "")
    assert at(unknown) == [("inlet", "inv")], "a changeover for two says nothing of a third"
    assert not unknown.parted("gen", "inv")


def test_where_an_input_is_not_drawn_anything_may_lie_at_it() -> None:
    assert ("inlet", "small") in at(meeting("inlet > co.shore\nco > gpo"))
    assert ("inv", "small") in at(meeting("co > gpo"))
    assert meeting("co > gpo").changeovers() == []


def test_an_inverter_charger_parts_what_comes_in_from_what_it_makes() -> None:
    made = meeting("inlet > combi > gpo")
    assert made.parted("inlet", "combi") and made.together("inlet", "combi")


def test_sources_with_nets_of_their_own_do_not_come_together() -> None:
    made = meeting("inv > gpo\nsmall > desk")
    assert not made.together("inv", "small") and not made.parted("inv", "small")
    assert meeting("inv | small > gpo").together("inv", "small")


def test_a_ring_of_feeds_does_not_hang() -> None:
    made = meeting("second > co.a\nco > second.a\ninv > co.b\ninlet > second.b\nco > gpo")
    assert at(made) == [("inlet", "inv")]


def test_a_changeover_is_there_for_two_supplies_though_only_one_was_written() -> None:
    alone = "inv: {kind: inverter}\nco: {kind: changeover}\nboard: {kind: board}\ngpo: {kind: outlet%s}\n"
    for ac in ("co > gpo", "inv > co.inverter\nco > gpo", "inv > co.inverter\nboard > co.shore\nco > gpo"):
        assert at(meeting(ac, "", alone)) in ([("another supply", "inv")], [("inv", "another supply")]), ac
    assert at(meeting("board > co.a\nco > gpo", "", alone)) == [("another supply", "inv")]
