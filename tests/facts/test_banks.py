"""Facts of a bank: volts, strings, capacity, protection, how its wiring shares the current."""

from itertools import pairwise

import pytest

from ringout.case.load import load_text
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import domain_of


def facts(parts: str, dc: str = "", **more: str) -> dict[str, Fact]:
    """All facts of a houseboat with the parts and chains given, one a line."""
    rows = ["case: the wardens' houseboat", "parts:", *(f"  {line}" for line in parts.strip().splitlines())]
    rows += ["dc:", *(f"  - {line}" for line in dc.strip().splitlines())] if dc else []
    rows += [f"{key}: {value}" for key, value in more.items()]
    found = gather(load_text("\n".join(rows), "houseboat.yaml"))
    return {fact.id: fact for fact in found}


def says(made: dict[str, Fact], id: str, name: str) -> Domain:
    return domain_of(made[id].values[name])


def word(made: dict[str, Fact], id: str, name: str) -> set[str]:
    domain = says(made, id, name)
    assert isinstance(domain, Choice)
    return set(domain.options)


def exactly(value: float) -> Span:
    return Span(value, value)


TWO = """\
b1: {kind: battery, chemistry: AGM, nominal: 12 V, capacity: 100 Ah, internal: 4 mohm}
b2: {kind: battery, chemistry: AGM, nominal: 12 V, capacity: 200 Ah, internal: 4 mohm}
house: {kind: busbars}
fuse: {kind: fuse, rating: 250 A}
inv: {kind: inverter, rating: 1200 W, efficiency: 80 %}"""
PARALLEL = "b1+ = b2+ : 50 mm2, 0.25 m\nb1- = b2- : 50 mm2, 0.25 m\n"
SERIES = "b1- = b2+ : 50 mm2, 0.25 m\n"

# -- volts, strings, capacity --------------------------------------------------------------------------------


def test_strings_in_parallel_add_their_capacities() -> None:
    made = facts(TWO, PARALLEL + "b1 = inv")
    assert says(made, "bank(b1)", "strings") == exactly(2)
    assert says(made, "bank(b1)", "nominal") == exactly(12)
    assert says(made, "bank(b1)", "capacity") == exactly(300)


def test_a_string_adds_its_volts() -> None:
    made = facts(TWO, SERIES + "b1+ = inv+\nb2- = inv-")
    assert says(made, "bank(b1)", "strings") == exactly(1)
    assert says(made, "bank(b1)", "nominal") == exactly(24)
    assert says(made, "bank(b1)", "capacity") == exactly(100)


def test_a_starter_battery_keeps_its_own_volts_beside_a_24_v_bank() -> None:
    start = TWO + "\nstart: {kind: battery, duty: start, nominal: 12 V}\nstereo: {kind: dc_load}"
    wiring = SERIES + "b1+ = inv+\nb2- = inv-\nstart = stereo\nb2- = start-"
    made = facts(start, wiring, dc_volts="24 V")
    assert says(made, "bank(start)", "nominal") == exactly(12)
    assert says(made, "bank(b1)", "nominal") == exactly(24)


def test_several_written_as_one_may_be_in_series_or_side_by_side() -> None:
    parts = "b: {kind: battery, count: 2, nominal: 12 V, capacity: 100 Ah}"
    assert says(facts(parts, dc_volts="12 V"), "bank(b)", "capacity") == exactly(200)
    assert says(facts(parts, dc_volts="24 V"), "bank(b)", "capacity") == exactly(100)
    open_volts = facts(parts)
    assert says(open_volts, "bank(b)", "nominal") == Span(12.0, 48.0), "two of 12 V may make 24"
    assert says(open_volts, "bank(b)", "capacity") == Span(50.0, 200.0)


def test_loose_batteries_count_by_their_own_number_and_size() -> None:
    parts = """\
b1: {kind: battery, nominal: 12 V, capacity: 100 Ah}
b2: {kind: battery, count: 3, nominal: 12 V, capacity: 80 Ah}"""
    made = facts(parts, dc_volts="12 V")
    assert word(made, "bank(b1)", "joined") == {"no"}
    assert says(made, "bank(b1)", "strings") == exactly(4)
    assert says(made, "bank(b1)", "capacity") == exactly(340)


def test_a_declared_figure_outranks_the_sum() -> None:
    bank = TWO + "\nsolid: {kind: bank, of: b1 b2, capacity: 280 Ah, max_charge: 60 A, usable: 40 %}"
    made = facts(bank, PARALLEL + "b1 = inv")
    assert says(made, "bank(solid)", "capacity") == exactly(280)
    assert says(made, "bank(solid)", "max_charge") == exactly(60)
    assert says(made, "bank(solid)", "usable") == exactly(112)


def test_usable_charge_is_by_what_was_stated_else_by_chemistry() -> None:
    made = facts("b: {kind: battery, chemistry: LFP, nominal: 12 V, capacity: 100 Ah}")
    assert says(made, "bank(b)", "usable") == Span(80.0, 90.0)
    stated = facts("b: {kind: battery, chemistry: LFP, nominal: 12 V, capacity: 100 Ah, usable: 50 %}")
    assert says(stated, "bank(b)", "usable") == exactly(50)


def test_chemistry_is_the_one_all_share_or_mixed() -> None:
    pair = "b1: {kind: battery, chemistry: %s}\nb2: {kind: battery, chemistry: %s}"
    assert word(facts(pair % ("AGM", "AGM")), "bank(b1)", "chemistry") == {"AGM"}
    assert word(facts(pair % ("AGM", "LFP")), "bank(b1)", "chemistry") == {"mixed"}
    assert word(facts(pair % ("AGM", "AGM | gel")), "bank(b1)", "chemistry") == {"AGM", "mixed"}
    assert "mixed" in word(facts(pair % ("unknown", "unknown")), "bank(b1)", "chemistry")


def test_one_bad_battery_makes_the_bank_bad() -> None:
    pair = "b1: {kind: battery, cold_charge_stop: yes}\nb2: {kind: battery, cold_charge_stop: %s}"
    assert word(facts(pair % "no"), "bank(b1)", "cold_charge_stop") == {"no"}
    assert word(facts(pair % "yes"), "bank(b1)", "cold_charge_stop") == {"yes"}
    assert word(facts(pair % "unknown"), "bank(b1)", "cold_charge_stop") == {"yes", "no"}


# -- protection ----------------------------------------------------------------------------------------------

BARE = "b1 = inv : 50 mm2, 1 m"
FUSED = "b1+ = fuse = inv+ : 50 mm2, 0.15 m, 1 m\nb1- = inv- : 50 mm2, 1 m"
ONE = "b1: {kind: battery%s}\nfuse: {kind: fuse, rating: 250 A}\ninv: {kind: inverter}"
ALL = "{fuse: all, breaker: none seen}"


def fused(parts: str, dc: str = "", **more: str) -> set[str]:
    return word(facts(parts, dc, **more), "main_protection(b1)", "fused")


def test_a_bare_lead_settles_it_only_where_all_fuses_were_looked_for() -> None:
    no_fuse = "b1: {kind: battery}\ninv: {kind: inverter}"
    assert fused(no_fuse, BARE) == {"yes", "no"}
    assert fused(no_fuse, BARE, looked_for="{fuse: none seen, breaker: none seen}") == {"no"}
    assert fused(no_fuse, BARE, looked_for="{fuse: none seen}") == {"yes", "no"}
    assert fused(no_fuse, BARE, looked_for="{fuse: some, breaker: some}") == {"yes", "no"}


def test_a_fuse_that_lies_nobody_knows_where_may_be_the_one() -> None:
    assert fused(ONE % "", BARE, looked_for=ALL) == {"yes", "no"}


def test_fused_leads_are_fused_as_drawn() -> None:
    made = facts(ONE % "", FUSED, looked_for=ALL)
    assert word(made, "main_protection(b1)", "fused") == {"yes"}
    assert says(made, "fuse_lead(b1, fuse)", "length") == exactly(0.15)


def test_without_a_drawing_it_is_as_seen() -> None:
    assert fused(ONE % ", main_fuse: yes") == {"yes"}
    assert fused(ONE % ", main_fuse: no") == {"no"}
    assert fused(ONE % "") == {"yes", "no"}


def test_protection_by_supposed_runs_stands_on_them() -> None:
    made = facts(ONE % "", "{run: b1+ = fuse, supposed: yes}\nfuse = inv+\nb1- = inv-")
    assert [leaf.path for leaf in made["main_protection(b1)"].standing] == ["b1+~fuse.there"]
    assert [leaf.path for leaf in made["fuse_lead(b1, fuse)"].standing] == ["b1+~fuse.there"]


# -- sharing -------------------------------------------------------------------------------------------------


def test_links_are_compared_in_pairs() -> None:
    made = facts(TWO, "b1+ = b2+ : 25 mm2, 0.25 m\nb1- = b2- : 50 mm2, 0.25 m\nb1 = inv")
    assert says(made, "link_pair(b1, b1+~b2+, b1-~b2-)", "ratio") == exactly(0.5)


def test_of_many_links_the_thinnest_and_the_thickest_are_compared_whatever_they_are_called() -> None:
    names = [f"b{n}" for n in range(1, 9)]
    parts = "\n".join(f"{name}: {{kind: battery, nominal: 12 V}}" for name in names)
    for odd in ("b1", "b4", "b7"):
        sizes = {name: "16 mm2" if name == odd else "50 mm2" for name in names}
        pairs = list(pairwise(names))
        dc = [f"{a}+ = {b}+ : {sizes[a]}, 0.3 m\n{a}- = {b}- : 50 mm2, 0.3 m" for a, b in pairs]
        made = facts(parts, "\n".join(dc))
        ratios = [domain_of(fact.values["ratio"]) for id, fact in made.items() if id.startswith("link_pair")]
        assert len(ratios) == 66
        assert {exactly(50 / 16), exactly(16 / 50)} & set(ratios), odd


def test_both_leads_on_one_battery_load_it_more() -> None:
    made = facts(TWO, PARALLEL + "b1 = inv : 50 mm2, 1 m")
    assert word(made, "take_off(b1, inv)", "one_sided") == {"yes"}
    near, far = says(made, "bank_share(b1, b1)", "ratio"), says(made, "bank_share(b1, b2)", "ratio")
    assert isinstance(near, Span) and isinstance(far, Span)
    assert 1.0 < near.lo < near.hi < 1.2
    assert 0.8 < far.lo < far.hi < 1.0


def test_leads_across_the_bank_share_equally() -> None:
    leads = "b1+ = inv+ : 50 mm2, 1 m\nb2- = inv- : 50 mm2, 1 m"
    made = facts(TWO, PARALLEL + leads)
    assert word(made, "take_off(b1, inv)", "one_sided") == {"no"}
    ratio = says(made, "bank_share(b1, b1)", "ratio")
    assert isinstance(ratio, Span)
    assert abs(ratio.lo - 1) < 1e-9 and abs(ratio.hi - 1) < 1e-9


def test_a_single_string_shares_nothing() -> None:
    made = facts(TWO, SERIES + "b1+ = inv+\nb2- = inv-")
    assert not [id for id in made if id.startswith(("bank_share", "take_off"))]


def test_the_heaviest_inverter_decides_how_a_bank_is_judged() -> None:
    light = TWO + "\nsmall: {kind: inverter, rating: 300 W, efficiency: 80 %}"
    across = "b1+ = small+ : 10 mm2, 1 m\nb2- = small- : 10 mm2, 1 m"
    made = facts(light, PARALLEL + "b1 = inv : 50 mm2, 1 m\n" + across)
    assert [id for id in made if id.startswith("take_off")] == ["take_off(b1, inv)"]
    current = says(made, "bank_share(b1, b1)", "current")
    # 1200 W at 80 % draws 119 to 129 A at 11.6 to 12.6 V; the near battery carries 51 to 58 % of it
    assert isinstance(current, Span) and 59 < current.lo < current.hi < 76


def test_a_lead_that_ends_before_the_bank_gives_no_share() -> None:
    made = facts(TWO, PARALLEL + "b1+ = inv+\nhouse- = inv-")
    assert not [id for id in made if id.startswith(("bank_share", "take_off"))]


def test_shares_through_supposed_runs_stand_on_them() -> None:
    supposed = PARALLEL + "{run: b1 = inv, size: 50 mm2, length: 1 m, supposed: yes}"
    made = facts(TWO, supposed)
    assert {leaf.path for leaf in made["bank_share(b1, b1)"].standing} == {"b1~inv.there", "b1-~inv-.there"}


def test_a_consumer_that_nobody_followed_may_have_a_bare_lead() -> None:
    parts = "b1: {kind: battery%s}\nf: {kind: fuse}\nlamp: {kind: dc_load}\ninv: {kind: inverter}"
    dc = "b1+ = f = lamp+\nb1- = lamp-"
    assert fused(parts % "", dc) == {"yes", "no"}
    assert fused(parts % ", main_fuse: yes", dc) == {"yes"}
    assert fused(parts % "", dc + "\nf.out = inv+") == {"yes"}


def test_one_battery_without_a_fuse_outweighs_the_others() -> None:
    assert fused("b1: {kind: battery, main_fuse: yes}\nb2: {kind: battery, main_fuse: no}") == {"no"}
    bank = "b1: {kind: battery}\nb2: {kind: battery, main_fuse: no}\nb: {kind: bank, of: b1 b2, main_fuse: yes}"
    assert word(facts(bank), "main_protection(b)", "fused") == {"no"}


def test_what_is_said_of_a_bank_does_not_speak_against_a_label() -> None:
    bank = "b1: {kind: battery, chemistry: AGM}\nb2: {kind: battery%s}\nb: {kind: bank, of: b1 b2, chemistry: AGM}"
    assert word(facts(bank % ", chemistry: LFP"), "bank(b)", "chemistry") == {"mixed"}
    assert word(facts(bank % ""), "bank(b)", "chemistry") == {"AGM"}


TOLD = {"main_fuse": ("main_protection", "fused"), "main_isolator": ("main_switch", "switched")}
SIDE_BY_SIDE = "b1+ = b2+ : 35 mm2, 0.3 m\nb1- = b2- : 35 mm2, 0.3 m"


@pytest.mark.parametrize("field", TOLD)
@pytest.mark.parametrize("order", [1, -1])
def test_one_lead_leaves_what_is_joined_and_loose_batteries_may_have_one_each(field: str, order: int) -> None:
    fact, value = TOLD[field]
    for one, other, joined, loose in (
        ("yes", "", {"yes"}, {"yes", "no"}),
        ("", "yes", {"yes"}, {"yes", "no"}),
        ("yes", "yes", {"yes"}, {"yes"}),
        ("", "", {"yes", "no"}, {"yes", "no"}),
    ):
        told = [("b1", one), ("b2", other)][::order]
        parts = "\n".join(f"{name}: {{kind: battery{f', {field}: {said}' if said else ''}}}" for name, said in told)
        assert word(facts(parts, SIDE_BY_SIDE), f"{fact}(b1)", value) == joined
        assert word(facts(parts), f"{fact}(b1)", value) == loose


def test_what_was_read_of_every_battery_outranks_what_was_declared_of_the_bank() -> None:
    bank = "all: {kind: bank, of: b1 b2, capacity: 300 Ah}"
    test = "{t: {what: capacity, value: 60 Ah, of: b1}, u: {what: capacity, value: 60 Ah, repeats: t}%s}"
    read = facts(f"{TWO}\n{bank}", PARALLEL + "b1 = inv", readings=test % "")
    assert says(read, "bank(all)", "capacity") == exactly(260)
    whole = ", v: {what: capacity, value: 240 Ah, of: all}, w: {what: capacity, value: 241 Ah, repeats: v}"
    both = facts(f"{TWO}\n{bank}", PARALLEL + "b1 = inv", readings=test % whole)
    assert says(both, "bank(all)", "capacity") == Span(240, 241)
    open_ = facts(f"{TWO}\n{bank}".replace("capacity: 200 Ah, ", ""), PARALLEL + "b1 = inv", readings=test % "")
    assert says(open_, "bank(all)", "capacity") == exactly(300)
