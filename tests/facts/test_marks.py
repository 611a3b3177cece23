"""Facts of what was seen, smelt or felt at a part."""

from ringout.case.load import load_text
from ringout.facts.catalogue import catalogue
from ringout.facts.fact import Fact
from ringout.facts.marks import marks
from ringout.quantity.span import Choice
from ringout.quantity.traced import domain_of


def marked(parts: str) -> dict[str, Fact]:
    rows = ["case: the ringers' hut", "parts:", *(f"  {line}" for line in parts.splitlines())]
    return {fact.id: fact for fact in marks(load_text("\n".join(rows), "hut.yaml"))}


def test_only_what_somebody_noted_makes_a_mark() -> None:
    made = marked("b1: {kind: battery, heat: none}\nb2: {kind: battery}\nb3: {kind: battery, heat: unknown}")
    assert list(made) == ["mark(b1)"]


def test_a_mark_says_what_was_noted_and_leaves_the_rest_open() -> None:
    mark = marked("gpo: {kind: outlet, heat: severe}")["mark(gpo)"]
    assert domain_of(mark.values["heat"]) == Choice(frozenset({"severe"}))
    assert not domain_of(mark.values["smell"]).exact
    assert set(mark.values) == set(catalogue()["mark"].attributes)


def test_a_mark_knows_what_sort_of_part_it_is_on() -> None:
    parts = {"battery": "storage", "fuse": "overcurrent", "breaker": "overcurrent", "outlet": "outlet"}
    parts |= {"inverter_charger": "inverter", "busbars": "bars", "shunt": "other"}
    for kind, sort in parts.items():
        (mark,) = marked(f"x: {{kind: {kind}, corrosion: slight}}").values()
        assert mark.known == {"sort": sort}
    assert set(parts.values()) <= set(catalogue()["mark"].known["sort"])


def test_a_run_has_a_mark_where_somebody_noted_one() -> None:
    rows = "case: the hide\nparts:\n  b1: {kind: battery}\n  f: {kind: fuse}\n  g: {kind: fuse}\ndc:\n"
    rows += "  - {run: b1+ = f, damage: chafed}\n  - {run: b1+ = g, size: 4 mm2}\n"
    made = {fact.id: fact for fact in marks(load_text(rows, "hide.yaml"))}
    assert list(made) == ["run_mark(b1+~f)"]
    assert domain_of(made["run_mark(b1+~f)"].values["damage"]) == Choice(frozenset({"chafed"}))
    heat = domain_of(made["run_mark(b1+~f)"].values["heat"])
    assert isinstance(heat, Choice)
    assert not heat.exact


def test_a_mark_that_the_owner_only_said_is_a_mark_too() -> None:
    assert list(marked("gpo: {kind: outlet, tightness: loose_by_hand (said)}")) == ["mark(gpo)"]
