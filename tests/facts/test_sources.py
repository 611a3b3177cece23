"""Facts of what makes or brings mains aboard: which two can meet, how their neutral stands to earth."""

import pytest

from ringout.case.load import load_text
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice
from ringout.quantity.traced import Traced, domain_of

PARTS = """\
inlet: {kind: inlet}
inv: {kind: inverter%s}
small: {kind: inverter%s}
gpo: {kind: outlet}
desk: {kind: outlet}
co: {kind: changeover, works: %s}
"""


def facts(parts: str, ac: str = "", **more: str) -> dict[str, Fact]:
    rows = ["case: the ringers' caravan", "parts:", *(f"  {line}" for line in parts.strip().splitlines())]
    rows += ["ac:", *(f"  - {line}" for line in ac.strip().splitlines())] if ac else []
    rows += [f"{key}: {value}" for key, value in more.items()]
    return {fact.id: fact for fact in gather(load_text("\n".join(rows), "caravan.yaml"))}


def word(fact: Fact, name: str) -> set[str]:
    domain = domain_of(fact.values[name])
    assert isinstance(domain, Choice)
    return set(domain.options)


def needs(fact: Fact, name: str) -> set[str]:
    value = fact.values[name]
    leaves = [value] if isinstance(value, Leaf) else value.leaves if isinstance(value, Traced) else []
    return {leaf.path for leaf in leaves if not domain_of(leaf).exact}


# -- which can meet ------------------------------------------------------------------------------------------


def joined(ac: str, works: str = "by_hand", one: str = "", other: str = "") -> set[str]:
    return word(facts(PARTS % (one, other, works), ac)["inverter_pair(inv, small)"], "joined")


def test_two_inverters_meet_at_a_changeover_only_where_it_parts_nothing() -> None:
    at_one = "inv > co.a\nsmall > co.b\nco > gpo"
    assert joined(at_one) == {"no"}
    assert joined(at_one, "none") == {"yes"}
    assert joined(at_one, "unknown") == {"yes", "no"}


def test_two_inverters_with_outlets_of_their_own_do_not_meet() -> None:
    assert joined("inv > gpo\nsmall > desk") == {"no"}
    assert joined("inv > gpo", other=", output_by: own_outlets") == {"no"}


def test_a_changeover_of_which_nobody_drew_the_inputs_parts_no_inverters() -> None:
    assert joined("") == {"yes", "no"}
    assert joined("inlet > co.shore\ninv > co.inverter\nco > gpo") == {"yes", "no"}, "the second one may lie anywhere"
    assert joined("inv | small > gpo") == {"yes", "no"}


def test_what_was_seen_of_undrawn_inverters_counts_and_what_was_only_said_does_not() -> None:
    assert joined("", other=", shares_outlets: yes") == {"yes"}
    assert joined("", other=", shares_outlets: no") == {"no"}
    assert joined("", one=", shares_outlets: no", other=", shares_outlets: yes") == {"yes"}
    assert joined("", other=", shares_outlets: no (said)") == {"yes", "no"}


@pytest.mark.parametrize("order", [1, -1])
def test_what_was_seen_of_one_inverter_does_not_clear_what_is_open_of_the_other(order: int) -> None:
    one, other = (f", shares_outlets: {word}" for word in ("no", "yes | no")[::order])
    assert joined("", one=one, other=other) == {"yes", "no"}


@pytest.mark.parametrize(
    ("one", "other", "both"),
    [("parallel", "phases", {"yes"}), ("no", "parallel", {"no"}), ("parallel", "unknown", {"yes", "no"})],
)
def test_both_inverters_must_be_set_to_work_together(one: str, other: str, both: set[str]) -> None:
    made = facts(PARTS % (f", stacked: {one}", f", stacked: {other}", "by_hand"))
    assert word(made["inverter_pair(inv, small)"], "stacked") == both


def test_an_inverter_charger_parts_an_inverter_that_feeds_its_input() -> None:
    parts = "inv: {kind: inverter}\ncombi: {kind: inverter_charger}\ngpo: {kind: outlet}"
    assert word(facts(parts, "inv > combi > gpo")["inverter_pair(combi, inv)"], "joined") == {"no"}


def test_a_changeover_says_which_supplies_it_chooses_between() -> None:
    made = facts(PARTS % ("", "", "none"), "inlet > co.a\ninv > co.b\nsmall > co.c\nco > gpo")
    pairs = {id: fact.known["sorts"] for id, fact in made.items() if fact.type == "supply_pair"}
    assert pairs == {
        "supply_pair(co, inlet, inv)": "unlike",
        "supply_pair(co, inlet, small)": "unlike",
        "supply_pair(co, inv, small)": "inverters",
    }


# -- a third supply ------------------------------------------------------------------------------------------

TWO = "inlet > co.shore\ninv > co.inverter\nco > gpo"


def apart(generator: str, ac: str = TWO, other: str = "inv") -> Fact | None:
    made = facts(f"gen: {{kind: generator{generator}}}\n" + PARTS % ("", "", "by_hand"), ac)
    return made.get(f"generator_apart(gen, {other})")


@pytest.mark.parametrize(
    ("generator", "says"),
    [
        (", connected: by_lead_to_inlet", {"yes"}),
        (", connected: hard_wired", {"yes", "no"}),
        (", connected: hard_wired, kept_apart: nothing", {"no"}),
        (", connected: hard_wired, kept_apart: interlock", {"yes"}),
        (", connected: hard_wired, kept_apart: interlock (said)", {"yes", "no"}),
        ("", {"yes", "no"}),
    ],
)
def test_a_generator_that_nobody_drew_is_apart_as_told(generator: str, says: set[str]) -> None:
    made = apart(generator)
    assert made is not None
    assert word(made, "apart") == says


def test_a_generator_for_one_appliance_meets_nothing() -> None:
    assert apart(", connected: appliance_only") is None


def test_what_a_changeover_chooses_between_is_judged_there() -> None:
    assert apart("", TWO.replace("co > gpo", "gen > co.generator\nco > gpo")) is None


def test_a_generator_drawn_with_a_net_of_its_own_is_apart_and_one_on_another_net_is_as_told() -> None:
    own = apart("", "inv > gpo\ngen > desk")
    both = apart("", "inv | gen > gpo")
    assert own is not None and both is not None
    assert word(own, "apart") == {"yes"}
    assert needs(both, "apart") == {"gen.kept_apart"}


# -- neutral and earth ---------------------------------------------------------------------------------------


def neutral(source: str, more: str = "", **sheets: str) -> Fact:
    made = facts(f"src: {source}\n{more}", **sheets)
    return next(fact for id, fact in made.items() if id in ("generator_neutral(src)", "inverter_neutral(src)"))


@pytest.mark.parametrize(
    ("source", "own"),
    [
        ("{kind: generator, neutral: bonded_always (label)}", {"yes"}),
        ("{kind: generator, neutral: bonded_when_running (label)}", {"yes"}),
        ("{kind: generator, neutral: floating (label)}", {"no"}),
        ("{kind: generator, neutral: isolated_windings (label)}", {"no"}),
        ("{kind: generator, neutral: split_120_240 (label)}", {"yes", "no"}),
        ("{kind: generator, neutral: bonded_always (said)}", {"yes", "no"}),
        ("{kind: generator, neutral: floating (label), bond_tested: yes (measured)}", {"yes"}),
        ("{kind: generator, neutral: bonded_always (label), bond_tested: no (measured)}", {"no"}),
        ("{kind: inverter, neutral: bonded_when_inverting (manual)}", {"yes"}),
        ("{kind: inverter, neutral: filter_coupled (manual)}", {"no"}),
        ("{kind: inverter, neutral: centre_tapped (manual)}", {"yes", "no"}),
        ("{kind: inverter_charger, neutral: bonded_always (manual)}", {"yes"}),
    ],
)
def test_a_source_joins_neutral_to_earth_as_tested_else_as_its_papers_say(source: str, own: set[str]) -> None:
    assert word(neutral(source), "own") == own


GEN = "{kind: generator}"
BOND = "link: {kind: bond, between: neutral_and_earth, exists: %s}"


@pytest.mark.parametrize(
    ("more", "aboard"),
    [
        ("", {"yes", "no"}),
        (BOND % "always", {"yes"}),
        (BOND % "on_generator_only", {"yes"}),
        (BOND % "on_inverter_only", {"yes", "no"}),
        ("link: {kind: bond, between: minus_and_chassis, exists: always}", {"yes", "no"}),
        ("inv: {kind: inverter, neutral: bonded_always (manual)}\nco: {kind: changeover, breaks: L}", {"yes"}),
        ("inv: {kind: inverter, neutral: bonded_always (manual)}\nco: {kind: changeover, breaks: L_N}", {"yes", "no"}),
        ("inv: {kind: inverter, neutral: floating (manual)}\nco: {kind: changeover, breaks: L}", {"yes", "no"}),
    ],
)
def test_a_joint_aboard_is_found_and_that_there_is_none_is_only_tested(more: str, aboard: set[str]) -> None:
    assert word(neutral(GEN, more), "aboard") == aboard
    tested = neutral(GEN, more, mains="{neutral_earth_on_generator: no (measured)}")
    assert word(tested, "aboard") == ({"yes"} if aboard == {"yes"} else {"no"})


def test_a_test_for_one_source_says_nothing_of_another() -> None:
    sheet = "{neutral_earth_on_inverter: no (measured)}"
    assert word(neutral(GEN, mains=sheet), "aboard") == {"yes", "no"}
    assert word(neutral("{kind: inverter}", mains=sheet), "aboard") == {"no"}
    assert word(neutral(GEN, mains="{neutral_earth: none (measured)}"), "aboard") == {"no"}
    assert word(neutral(GEN, BOND % "always", mains="{neutral_earth: none (measured)}"), "aboard") == {"yes"}
