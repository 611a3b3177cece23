"""Facts of the mains side: what feeds what, what is behind an RCD, how the earth stands."""

import pytest

from ringout.case.load import load_text
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import domain_of


def facts(parts: str, ac: str = "", **more: str) -> dict[str, Fact]:
    rows = ["case: the ringers' caravan", "parts:", *(f"  {line}" for line in parts.strip().splitlines())]
    rows += ["ac:", *(f"  - {line}" for line in ac.strip().splitlines())] if ac else []
    rows += [f"{key}: {value}" for key, value in more.items()]
    return {fact.id: fact for fact in gather(load_text("\n".join(rows), "caravan.yaml"))}


def word(made: dict[str, Fact], id: str, name: str) -> set[str]:
    domain = domain_of(made[id].values[name])
    assert isinstance(domain, Choice)
    return set(domain.options)


PARTS = """\
inlet: {kind: inlet%s}
inv: {kind: inverter}
rcd: {kind: rcd}
co: {kind: changeover, works: by_hand}
gpo: {kind: outlet}
chg: {kind: mains_charger}"""
FEEDS = "inlet > co.shore\ninv > co.inverter\nco > gpo > chg"


def test_every_consumer_is_answered_for_every_source_in_every_state() -> None:
    made = facts(PARTS % "", FEEDS)
    supplies = {id for id in made if id.startswith("ac_supply")}
    assert supplies == {f"ac_supply({each}, {of})" for each in ("gpo", "chg") for of in ("inlet", "inv")}
    inverter = made["ac_supply(chg, inv)"]
    assert inverter.known == {"source_sort": "inverter"}
    said = {name: word(made, inverter.id, name) for name in inverter.values}
    assert {name for name, words in said.items() if words == {"yes"}} == {"away", "left_over"}
    assert {name for name, words in said.items() if words == {"no"}} == {"on_shore", "both_on", "on_generator"}


def test_an_inverter_charger_is_no_source_of_its_own_supply() -> None:
    made = facts("inlet: {kind: inlet}\ncombi: {kind: inverter_charger}", "inlet > combi")
    assert [id for id in made if id.startswith("ac_supply")] == ["ac_supply(combi, inlet)"]


# -- RCD -----------------------------------------------------------------------------------------------------


def behind(ac: str, outlet: str = "", **more: str) -> set[str]:
    parts = PARTS % ""
    parts = parts.replace("gpo: {kind: outlet}", f"gpo: {{kind: outlet{outlet}}}")
    return word(facts(parts, ac, **more), "shock_protection(gpo)", "rcd")


GUARDED = "inlet > co.shore\ninv > co.inverter\nco > rcd > gpo"
UNGUARDED_INVERTER = "inlet > rcd > co.shore\ninv > co.inverter\nco > gpo"


def test_an_rcd_on_every_way_up_guards_as_drawn() -> None:
    assert behind(GUARDED) == {"yes"}


def test_a_way_past_the_rcd_settles_it_only_where_all_were_looked_for() -> None:
    assert behind(UNGUARDED_INVERTER) == {"yes", "no"}
    assert behind(UNGUARDED_INVERTER, looked_for="{rcd: some}") == {"yes", "no"}
    assert behind(UNGUARDED_INVERTER, looked_for="{rcd: all}") == {"no"}


def test_an_rcd_that_sits_nobody_knows_where_may_be_the_one() -> None:
    assert behind(FEEDS, looked_for="{rcd: all}") == {"yes", "no"}


def test_without_a_drawing_it_is_as_seen_at_the_outlet_else_as_said_of_the_whole() -> None:
    assert behind("") == {"yes", "no"}
    assert behind("", ", rcd: yes") == {"yes"}
    assert behind("", mains="{rcd: no}") == {"no"}
    assert behind("", ", rcd: yes", mains="{rcd: no}") == {"yes"}


# -- the mains as a whole ------------------------------------------------------------------------------------


def test_there_is_one_fact_for_the_mains_wherever_there_is_any() -> None:
    made = facts(PARTS % "")
    assert word(made, "mains(installation)", "outlets") == {"yes"}
    without = facts("b1: {kind: battery}\npump: {kind: dc_load}")
    assert "mains(installation)" not in without
    assert word(facts("inlet: {kind: inlet}"), "mains(installation)", "outlets") == {"no"}


@pytest.mark.parametrize(
    ("parts", "mains", "rcd"),
    [
        ("inv: {kind: inverter}\ninlet: {kind: inlet}", "{rcd: yes}", {"yes"}),
        ("inv: {kind: inverter}\ninlet: {kind: inlet}", "{}", {"yes", "no"}),
        # What the inverter has inside guards only what the inverter feeds.
        ("inv: {kind: inverter, rcd: yes}\ninlet: {kind: inlet}", "{}", {"yes", "no"}),
        ("inv: {kind: inverter, rcd: yes}", "{}", {"yes"}),
        ("inv: {kind: inverter, rcd: no}\ninlet: {kind: inlet}", "{}", {"no"}),
        ("one: {kind: inverter, rcd: yes}\ntwo: {kind: inverter, rcd: no}", "{}", {"no"}),
        ("one: {kind: inverter, rcd: yes}\ntwo: {kind: inverter}", "{}", {"yes", "no"}),
    ],
)
def test_whether_all_outlets_are_behind_an_rcd(parts: str, mains: str, rcd: set[str]) -> None:
    assert word(facts(parts, mains=mains), "mains(installation)", "rcd") == rcd


@pytest.mark.parametrize(
    ("inlets", "mains", "earth"),
    [
        ("", "{earth: proven}", {"proven"}),
        (", earth: broken", "{earth: proven}", {"broken"}),
        (", earth: proven", "{}", {"proven"}),
        ("", "{}", {"proven", "not_proven", "broken"}),
    ],
)
def test_the_earth_is_as_said_at_the_inlet_else_of_the_whole(
    inlets: str, mains: str, earth: set[str]
) -> None:
    assert word(facts(PARTS % inlets, mains=mains), "mains(installation)", "earth") == earth


def test_of_two_inlets_the_worse_earth_counts_in_either_order() -> None:
    bow, stern = (
        "bow: {kind: inlet, earth: %s, earth_ohm: %s}",
        "stern: {kind: inlet, earth: %s, earth_ohm: %s}",
    )
    good, bad = ("proven", "0.1 ohm"), ("broken", "2 ohm")
    for first, second in ((good, bad), (bad, good)):
        made = facts(f"{bow % first}\n{stern % second}")
        assert word(made, "mains(installation)", "earth") == {"broken"}
        assert domain_of(made["mains(installation)"].values["earth_ohm"]) == Span(2.0, 2.0)
    half = facts("bow: {kind: inlet, earth: proven}\nstern: {kind: inlet}")
    assert word(half, "mains(installation)", "earth") == {"proven", "not_proven", "broken"}


def test_one_bad_earth_anywhere_makes_the_earth_bad() -> None:
    inlet = "inlet: {kind: inlet, earth: proven, earth_ohm: 0.2 ohm}\n"
    for bad in ("{kind: outlet, earth: broken}", "{kind: body, earth: broken}", "{kind: inverter, case_earth: broken}"):
        assert word(facts(inlet + f"other: {bad}"), "mains(installation)", "earth") == {"broken"}
    assert word(facts(inlet, mains="{earth: broken}"), "mains(installation)", "earth") == {"broken"}
    assert word(facts(inlet + "o: {kind: outlet, earth: proven}"), "mains(installation)", "earth") == {"proven"}
    made = facts("inlet: {kind: inlet}\nshell: {kind: body, earth_ohm: 40 ohm}")
    told = domain_of(made["mains(installation)"].values["earth_ohm"])
    assert isinstance(told, Span)
    assert told.lo == 40, "the inlet may be worse, and is no better"


def test_a_lead_speaks_for_itself_and_not_for_the_earth_aboard() -> None:
    made = facts("inlet: {kind: inlet, earth: proven}\nlead: {kind: shore_lead, earth: broken}", "lead > inlet")
    assert word(made, "mains(installation)", "earth") == {"proven"}


def test_a_generator_speaks_for_itself_and_not_for_the_earth_of_the_shore() -> None:
    made = facts("inlet: {kind: inlet, earth: proven}\ngen: {kind: generator, earth: broken}")
    assert word(made, "mains(installation)", "earth") == {"proven"}


def test_an_rcd_at_the_post_is_none_for_a_generator_at_the_inlet() -> None:
    gen = "gen: {kind: generator, connected: by_lead_to_inlet, rcd: %s (label)}\n"
    parts = gen + "post: {kind: shore_supply}\nrcd: {kind: rcd}\ninlet: {kind: inlet}\ngpo: {kind: outlet}"
    for own, rcd in (("no", {"no"}), ("yes", {"yes"})):
        made = facts(parts % own, "post > rcd > inlet > gpo", looked_for="{rcd: all}")
        assert word(made, "shock_protection(gpo)", "rcd") == rcd


def test_an_inverter_seen_without_an_rcd_outweighs_what_is_said_of_all() -> None:
    made = facts("inv: {kind: inverter, rcd: no}\ngpo: {kind: outlet}", mains="{rcd: yes}")
    assert word(made, "mains(installation)", "rcd") == {"no"}
    assert word(made, "shock_protection(gpo)", "rcd") == {"yes", "no"}


def test_a_way_that_is_there_and_not_drawn_proves_nothing() -> None:
    assert behind("inlet > rcd > co.shore\nco > gpo") == {"yes", "no"}
    assert behind("inlet > rcd > gpo") == {"yes"}
    assert behind("inlet > rcd > gpo", ", live_on_inverter: yes") == {"yes", "no"}


def test_an_rcd_out_of_use_guards_nothing() -> None:
    parts = "inlet: {kind: inlet}\nrcd: {kind: rcd, status: bypassed}\ngpo: {kind: outlet}"
    made = facts(parts, "inlet > rcd > gpo", looked_for="{rcd: all}")
    assert word(made, "shock_protection(gpo)", "rcd") == {"no"}


def test_a_look_beside_a_half_drawn_changeover_leaves_the_drawn_half_as_it_is() -> None:
    parts = (PARTS % "").replace("mains_charger}", "mains_charger, live_on_inverter: yes}")
    made = facts(parts, "inlet > co.shore\nco > gpo > chg")
    assert word(made, "ac_supply(chg, inlet)", "on_shore") == {"yes"}


@pytest.mark.parametrize(
    ("inlet", "matters"),
    [
        ("", "yes"),
        (", earth: not_proven", "yes"),
        (", earth: proven (said)", "yes"),
        (", earth: proven (measured)", "no"),
        (", earth: broken (measured)", "no"),
        (", earth: proven (measured), earth_ohm: 3 ohm (measured)", "yes"),
    ],
)
def test_a_figure_of_the_earth_matters_until_a_test_settled_it(inlet: str, matters: str) -> None:
    made = facts(f"inlet: {{kind: inlet{inlet}}}")
    assert word(made, "mains(installation)", "figure") == {matters}
