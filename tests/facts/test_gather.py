"""All facts of a case: each once, stated as read, and no surer than the parts they speak of."""

from pathlib import Path

import pytest

from ringout.case.load import load, load_text
from ringout.facts.catalogue import catalogue
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import Traced, domain_of
from ringout.shipped import cases_root

CASES = sorted([*(Path(__file__).parent / "cases").glob("*.yaml"), *cases_root().glob("*.yaml")])


def facts(parts: str, **more: str) -> dict[str, Fact]:
    rows = ["case: the reed hut", "parts:", *(f"  {line}" for line in parts.strip().splitlines())]
    rows += [f"{key}: {value}" for key, value in more.items()]
    return {fact.id: fact for fact in gather(load_text("\n".join(rows), "hut.yaml"))}


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_each_fact_stands_once_and_in_order(path: Path) -> None:
    ids = [fact.id for fact in gather(load(path))]
    assert ids == sorted(set(ids))


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_each_fact_is_as_the_catalogue_declares_it(path: Path) -> None:
    for fact in gather(load(path)):
        its = catalogue()[fact.type]
        assert not its.concluded
        assert tuple(fact.keys) == its.keys
        assert set(fact.known) == set(its.known), fact.id
        for name, value in fact.values.items():
            declared, domain = its.attributes[name], domain_of(value)
            if isinstance(domain, Choice):
                assert domain.options <= set(declared.options), f"{fact.id}.{name}"
            else:
                assert declared.dimension, f"{fact.id}.{name}"


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_computed_amount_has_the_dimension_that_the_catalogue_declares(path: Path) -> None:
    for fact in gather(load(path)):
        for name, value in fact.values.items():
            declared = catalogue()[fact.type].attributes[name]
            if isinstance(value, Traced) and value.dimension:
                assert value.dimension == declared.dimension, f"{fact.id}.{name}"


def test_the_same_case_gives_the_same_facts() -> None:
    path = CASES[0]
    one, other = gather(load(path)), gather(load(path))
    assert [fact.id for fact in one] == [fact.id for fact in other]
    for a, b in zip(one, other, strict=True):
        assert {n: domain_of(v) for n, v in a.values.items()} == {
            n: domain_of(v) for n, v in b.values.items()
        }


def test_a_part_is_stated_once_for_each_role_it_has() -> None:
    made = facts("combi: {kind: inverter_charger, output: 40 A, rating: 2000 W}")
    assert domain_of(made["charger(combi)"].values["output"]) == Span(40.0, 40.0)
    assert domain_of(made["inverter(combi)"].values["rating"]) == Span(2000.0, 2000.0)


def test_what_a_kind_cannot_state_is_open_and_never_lacking() -> None:
    made = facts(
        "cooler: {kind: compressor_fridge}\nthree: {kind: absorption_fridge}\nbox: {kind: power_station}"
    )
    for id, fact in made.items():
        assert set(fact.values) >= set(catalogue()[fact.type].reads), id
    sort = made["dc_load(cooler)"].values["sort"]
    assert isinstance(sort, Leaf) and not sort.known and not sort.settled


def test_what_lowers_a_voltage_is_no_charge_source() -> None:
    made = facts("drop: {kind: dc_reducer}\nb1: {kind: battery}\ndcdc: {kind: dc_charger}")
    assert "charge_source(drop)" not in made and "charging(drop, b1)" not in made
    assert "charge_source(dcdc)" in made and "charging(dcdc, b1)" in made


def test_habits_surroundings_and_complaints_are_facts() -> None:
    made = facts(
        "b1: {kind: battery}",
        habits="{night_hours: 12 h}",
        surroundings="{lowest: -5 C}",
        complaints="{flat: {says: flat by dawn, symptom: flat_by_morning}}",
    )
    assert domain_of(made["habits(installation)"].values["night_hours"]) == Span(43200.0, 43200.0)
    assert domain_of(made["surroundings(installation)"].values["lowest"]) == Span(-5.0, -5.0)
    assert made["complaint(flat)"].known == {"symptom": "flat_by_morning"}


def test_a_place_is_read_where_it_is_described_and_open_where_it_is_a_mere_word() -> None:
    described = facts("b1: {kind: battery, place: chest}", places="{chest: {sort: locker, gas: none}}")
    assert domain_of(described["placed(b1)"].values["gas"]) == Choice(frozenset({"none"}))
    assert described["placed(b1)"].known == {"sort": "battery"}
    named = facts("b1: {kind: battery, place: bilge}")
    assert domain_of(named["placed(b1)"].values["place"]) == Choice(frozenset({"bilge"}))
    assert not domain_of(named["placed(b1)"].values["gas"]).exact
    elsewhere = facts("b1: {kind: battery, place: behind the stove}\npump: {kind: dc_load, place: bilge}")
    assert not domain_of(elsewhere["placed(b1)"].values["place"]).exact
    assert "placed(pump)" not in elsewhere
    nowhere = facts("b1: {kind: battery}")
    assert not domain_of(nowhere["placed(b1)"].values["gas"]).exact


def test_whatever_speaks_of_a_supposed_part_stands_on_its_being_there() -> None:
    made = facts("b1: {kind: battery}\nchg: {kind: mains_charger, supposed: yes}\ninv: {kind: inverter}")
    for id in ("charger(chg)", "charging(chg, b1)", "loop_cost(chg, inv, b1)", "ac_supply(chg, inv)"):
        assert [leaf.path for leaf in made[id].standing] == ["chg.there"], id
    assert made["inverter_draw(inv, b1)"].standing == ()


def test_a_complaint_named_like_a_supposed_part_is_made_all_the_same() -> None:
    made = facts(
        "radio: {kind: dc_load, supposed: yes}", complaints="{radio: {says: it hums, symptom: radio_noise}}"
    )
    assert made["complaint(radio)"].standing == ()


def test_what_nobody_looks_for_is_a_fact_only_where_somebody_noted_it() -> None:
    made = facts("o1: {kind: outlet, live_parts: touchable}\no2: {kind: outlet}\nf: {kind: fuse, status: bypassed}")
    noted = [id for id in made if id.split("(")[0] in ("outlet_seen", "guard_state")]
    assert noted == ["guard_state(f)", "outlet_seen(o1)"]


def test_gas_around_a_box_is_gas_in_the_box_however_deep() -> None:
    places = "{box: {gas: none, within: nose}, nose: {gas: none, within: front}, front: {gas: bottles, within: box}}"
    made = facts("b1: {kind: battery, place: box}", places=places)
    assert domain_of(made["placed(b1)"].values["gas"]) == Choice(frozenset({"bottles"}))
    clear = facts("b1: {kind: battery, place: box}", places=places.replace("bottles", "none"))
    assert domain_of(clear["placed(b1)"].values["gas"]) == Choice(frozenset({"none"}))
