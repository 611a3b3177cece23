"""Facts of the battery monitor: what its shunt sees, and how it is set."""

import pytest

from ringout.case.load import load_text
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import domain_of

PARTS = """\
b1: {kind: battery, nominal: 12 V, capacity: 200 Ah}
sh: {kind: shunt%s}
bars: {kind: busbars}
inv: {kind: inverter}
pump: {kind: dc_load}
mon: {kind: monitor, capacity_set: 100 Ah, scale_for: AGM}"""


def facts(dc: str, shunt: str = "") -> dict[str, Fact]:
    rows = [
        "case: the van at the reeds",
        "parts:",
        *(f"  {line}" for line in (PARTS % shunt).splitlines()),
        "dc:",
    ]
    case = load_text("\n".join([*rows, *(f"  - {line}" for line in dc.splitlines())]), "van.yaml")
    return {fact.id: fact for fact in gather(case)}


def says(made: dict[str, Fact], id: str, name: str) -> Domain:
    return domain_of(made[id].values[name])


BEHIND = "b1- = sh = bars-\nb1+ = bars+\nbars = inv\n"


def test_the_shunt_sees_what_returns_through_it() -> None:
    made = facts(BEHIND + "b1 = pump")
    assert says(made, "counted(sh, inv, b1)", "counted") == Choice(frozenset({"yes"}))
    assert says(made, "counted(sh, pump, b1)", "counted") == Choice(frozenset({"no"}))


def test_a_supposed_return_leaves_it_open() -> None:
    made = facts("b1- = sh = bars-\nb1+ = inv+\n{run: bars- = inv-, supposed: yes}")
    assert says(made, "counted(sh, inv, b1)", "counted") == Choice(frozenset({"yes", "no"}))


def test_what_has_no_return_drawn_is_not_spoken_of() -> None:
    made = facts(BEHIND + "b1+ = pump+")
    assert "counted(sh, pump, b1)" not in made


def test_a_shunt_in_plus_is_not_asked() -> None:
    in_plus = "b1+ = sh = bars+\nb1- = bars-\nbars = inv\n"
    assert not [id for id in facts(in_plus) if id.startswith("counted")]


def test_where_it_is_drawn_outweighs_what_is_said_of_its_pole() -> None:
    made = facts(BEHIND, ", pole: plus")
    assert says(made, "counted(sh, inv, b1)", "counted") == Choice(frozenset({"yes"}))


def test_the_setting_is_against_the_bank() -> None:
    made = facts(BEHIND)
    ratio = says(made, "monitor_setting(mon, b1)", "capacity")
    assert isinstance(ratio, Span) and (ratio.lo, ratio.hi) == pytest.approx((0.5, 0.5))
    assert says(made, "monitor_setting(mon, b1)", "scale") == Choice(frozenset({"AGM"}))
    assert not says(made, "monitor_setting(mon, b1)", "checked").exact
