"""Generators that stand in no drawing: what they feed, and what of the drawing guards nobody then."""

import pytest

from ringout.case.case import Case
from ringout.case.load import load_text
from ringout.quantity.span import Choice
from ringout.quantity.traced import domain_of
from ringout.system.states import states
from ringout.system.supply import Supply


def van(generator: str, ac: str, more: str = "") -> Case:
    """The counting society's van with a generator that no feed names."""
    rows = ["case: the ringers' van", "parts:", f"  gen: {{kind: generator{generator}}}"]
    rows += [f"  {line}" for line in (PARTS + more).splitlines()]
    rows += ["ac:", *(f"  - {line}" for line in ac.splitlines())]
    return load_text("\n".join(rows), "van.yaml")


PARTS = """\
post: {kind: shore_supply}
inlet: {kind: inlet}
at_post: {kind: rcd}
aboard: {kind: rcd}
gpo: {kind: outlet}
"""
AC = "post > at_post > inlet > aboard > gpo"
BY_LEAD = ", connected: by_lead_to_inlet"


def options(domain: object) -> set[str]:
    assert isinstance(domain, Choice)
    return set(domain.options)


def fed(case: Case, source: str = "gen", state: str = "generator", consumer: str = "gpo") -> set[str]:
    return options(Supply(case).fed_by(case.parts[consumer], case.parts[source], states()[state]).domain())


def needs(case: Case) -> list[str]:
    value = Supply(case).fed_by(case.parts["gpo"], case.parts["gen"], states()["generator"])
    return [leaf.path for leaf in value.leaves if not domain_of(leaf).exact]


def passes(case: Case) -> set[str]:
    return options(Supply(case).passes(case.parts["gpo"], "rcd").domain())


def test_by_a_lead_it_feeds_what_hangs_on_the_inlet_and_only_while_it_runs() -> None:
    case = van(BY_LEAD, AC)
    assert fed(case) == {"yes"}
    assert fed(case, "post") == {"no"}
    assert fed(case, state="shore") == {"no"}
    assert fed(case, "post", "shore") == {"yes"}


def test_what_stands_at_the_post_guards_nothing_of_what_it_feeds() -> None:
    only_at_post = "post > at_post > inlet > gpo"
    assert passes(van(BY_LEAD, AC)) == {"yes"}
    assert passes(van(BY_LEAD + ", rcd: no (label)", only_at_post)) == {"no"}
    assert passes(van(BY_LEAD + ", rcd: yes (label)", only_at_post)) == {"yes"}
    assert passes(van(BY_LEAD, only_at_post)) == {"yes", "no"}
    assert passes(van(", connected: appliance_only", only_at_post)) == {"yes"}


def test_wired_in_nobody_knows_where_it_may_come_in_behind_the_rcd() -> None:
    assert passes(van(", connected: hard_wired", AC)) == {"some"}
    assert passes(van("", AC)) == {"yes", "some"}


def test_wired_in_a_look_tells_what_it_feeds() -> None:
    for how in ("hard_wired", "into_an_outlet"):
        case = van(f", connected: {how}", AC)
        assert fed(case) == {"yes", "no"}, how
        assert needs(case) == ["gpo.live_on_generator"], how
        seen = van(f", connected: {how}", AC.replace("gpo", "desk"), "desk: {kind: outlet, live_on_generator: yes}\n")
        assert fed(seen, consumer="desk") == {"yes"}, how
        assert fed(seen, "post", "shore", "desk") == {"yes"}, "the look says nothing of shore"


def test_where_nobody_says_how_it_is_joined_both_are_asked() -> None:
    case = van("", AC)
    assert fed(case) == {"yes", "no"}
    assert needs(case) == ["gen.connected", "gpo.live_on_generator"]


def test_one_that_feeds_an_appliance_only_is_no_source() -> None:
    case = van(", connected: appliance_only", AC)
    assert [part.name for part, _ in Supply(case).sources()] == ["post"]
    assert fed(case) == {"no"}


def test_without_an_inlet_it_is_plugged_in_where_shore_is() -> None:
    for above in ("lead: {kind: shore_lead}\n", ""):
        first = "lead" if above else "post"
        case = van(BY_LEAD, f"{first} > gpo", above)
        case.parts.pop("inlet")
        assert fed(case) == {"yes"}, first


def test_of_two_each_may_be_the_one() -> None:
    case = van(BY_LEAD, AC, "other: {kind: generator, connected: by_lead_to_inlet}\n")
    assert fed(case) == {"yes", "no"}
    assert "installation.which_generator" in needs(case)


@pytest.mark.parametrize("look", ["yes", "no"])
def test_a_consumer_whose_feed_nobody_drew_is_judged_by_a_look(look: str) -> None:
    case = van(BY_LEAD, AC, f"desk: {{kind: outlet, live_on_generator: {look}}}\n")
    assert fed(case, consumer="desk") == {look}


def test_the_own_rcd_of_a_generator_that_is_drawn_guards_what_it_feeds() -> None:
    for own, guarded in (("yes", {"yes"}), ("no", {"no"}), ("unknown", {"yes", "no"})):
        assert passes(van(f", rcd: {own} (label)" if own != "unknown" else "", "gen > gpo")) == guarded, own
