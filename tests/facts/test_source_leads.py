"""Cables that two sources feed, and the cable before the first fuse."""

import pytest

from ringout.case.load import load_text
from ringout.inference.chain import Said
from ringout.review.review import review

LOOKED = "looked_for: {fuse: all, breaker: none seen}"
PARTS = """\
  b1: {kind: battery, chemistry: LFP, nominal: 12 V}
  b2: {kind: battery, chemistry: LFP, nominal: 12 V}
  f1: {kind: fuse, rating: 100 A}
  f2: {kind: fuse, rating: 100 A}
  link: {kind: bank_link, sort: voltage_sensing}
  inv: {kind: inverter, rating: 1000 W}
"""


def said(rule: str, dc: str, looked: str = LOOKED, parts: str = PARTS) -> dict[str, Said]:
    kept = [line for line in parts.splitlines() if line.split(":")[0].strip() in dc or "{kind: battery" in line]
    rows = ["case: the hide on the dyke", "region: AU", "parts:", *kept, "dc:", *(f"  - {x}" for x in dc.splitlines())]
    made = review(load_text("\n".join([*rows, looked]), "hide.yaml"), "plain").chained.said
    return {each.anchor.id: each for each in made if each.rule.name == rule}


def words(made: dict[str, Said]) -> dict[str, str]:
    return {id: each.verdict.value for id, each in made.items()}


APART = "batteries-apart-fused-at-one-end"
LINK = "link-fused-at-one-end"
FAR = "main-fuse-far-from-the-post"
MINUS = "b1- = b2- : 35 mm2, 4 m\nb1 = inv : 35 mm2, 1 m"


def mates(way: str, looked: str = LOOKED) -> tuple[str, str]:
    made = words(said(APART, f"{way}\n{MINUS}", looked))
    return made["mate_lead(b1, b1, b2)"], made["mate_lead(b1, b2, b1)"]


def test_a_cable_between_batteries_apart_needs_a_fuse_at_each() -> None:
    assert mates("b1+ = f1 = f2 = b2+ : 35 mm2, 0.1 m, 4 m, 0.1 m") == ("right", "right")
    assert mates("b1+ = f1 = b2+ : 35 mm2, 0.1 m, 4 m") == ("right", "wrong")
    assert mates("b1+ = f1 = b2+ : 35 mm2, 2 m, 2 m") == ("wrong", "wrong")
    assert mates("b1+ = b2+ : 35 mm2, 4 m") == ("wrong", "wrong")


def test_batteries_side_by_side_need_none_between() -> None:
    assert mates("b1+ = b2+ : 35 mm2, 0.4 m") == ("does not apply", "does not apply")


def test_where_nobody_looked_for_every_fuse_or_no_length_is_told_it_is_not_known() -> None:
    assert mates("b1+ = f1 = b2+ : 35 mm2, unknown, unknown") == ("not known", "not known")
    run = "{run: b1+ = b2+, size: 35 mm2, length: 0.5..4 m}"
    assert mates(run, "") == ("not known", "not known")


def test_a_supposed_fuse_guards_no_end() -> None:
    parts = PARTS.replace("f1: {kind: fuse", "f1: {kind: fuse, supposed: yes")
    made = words(said(APART, f"b1+ = f1 = b2+ : 35 mm2, 0.1 m, 4 m\n{MINUS}", LOOKED, parts))
    assert made["mate_lead(b1, b1, b2)"] == "not known"


def links(way: str, looked: str = LOOKED, parts: str = PARTS) -> dict[str, str]:
    return words(said(LINK, f"{way}\nb1 = inv", looked, parts))


def test_a_link_needs_a_fuse_toward_each_bank() -> None:
    one, other = "link_end(link, b1)", "link_end(link, b2)"
    duties = PARTS.replace("b1: {kind: battery", "b1: {kind: battery, duty: start")
    assert links("b1+ = f1 = link = f2 = b2+", parts=duties) == {one: "right", other: "right"}
    assert links("b1+ = f1 = link = b2+", parts=duties) == {one: "right", other: "wrong"}
    assert links("b1+ = link = f1 = b2+", parts=duties) == {one: "wrong", other: "right"}
    assert links("b1+ = f1 = link = b2+", "", duties) == {one: "right", other: "not known"}


@pytest.mark.parametrize(
    ("told", "verdict"),
    [(", fused: both_ends", "right"), (", fused: one_end", "wrong"), (", fused: none", "wrong"), ("", "not known")],
)
def test_of_a_link_that_nobody_drew_it_is_as_told(told: str, verdict: str) -> None:
    parts = PARTS.replace("sort: voltage_sensing", f"sort: voltage_sensing{told}")
    kept = [line for line in parts.splitlines() if "battery" in line or "bank_link" in line]
    made = review(load_text("\n".join(["case: the hide on the dyke", "parts:", *kept]), "hide.yaml"), "plain").chained
    assert [each.verdict.value for each in made.said if each.rule.name == LINK] == [verdict]


def test_an_unfused_lead_to_a_link_leaves_the_post_without_a_fuse() -> None:
    duties = PARTS.replace("b1: {kind: battery", "b1: {kind: battery, duty: start")
    made = words(said("main-fuse-missing", "b1+ = link = f1 = b2+", LOOKED, duties))
    assert made["main_protection(b1)"] == "wrong"


@pytest.mark.parametrize(
    ("battery", "verdict"),
    [
        ("main_fuse: yes", "not known"),
        ("main_fuse: yes, main_fuse_distance: 150 mm", "right"),
        ("main_fuse: yes, main_fuse_distance: 3 m", "wrong"),
        ("main_fuse: yes, main_fuse_distance: 0.5 m", "not known"),
    ],
)
def test_the_cable_before_a_fuse_that_nobody_drew_is_as_told(battery: str, verdict: str) -> None:
    text = f"case: the hide on the dyke\nregion: AU\nparts:\n  b1: {{kind: battery, {battery}}}"
    made = review(load_text(text, "hide.yaml"), "plain").chained.said
    assert [each.verdict.value for each in made if each.rule.name == FAR] == [verdict]


@pytest.mark.parametrize(
    ("enclosed", "verdict"), [("", "not known"), (", enclosed: yes", "right"), (", enclosed: no", "wrong")]
)
def test_a_conduit_of_its_own_lets_the_lead_be_longer(enclosed: str, verdict: str) -> None:
    dc = f"{{run: b1+ = f1, size: 35 mm2, length: 0.5 m{enclosed}}}\nf1 = inv+\nb1- = inv-"
    assert words(said(FAR, dc))["fuse_lead(b1, f1)"] == verdict
