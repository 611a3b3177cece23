"""Parts of the picture of which nothing says what they are wired to."""

import pytest

from ringout.case.load import load_text
from ringout.facts.gather import gather
from ringout.quantity.span import Choice
from ringout.quantity.traced import domain_of
from ringout.review.review import Review, review

PARTS = """\
  b1: {kind: battery, chemistry: LFP, main_fuse: yes}
  bars: {kind: busbars}
  inv: {kind: inverter, rating: 1000 W}
  pump: {kind: dc_load, current: 4 A}
  lamp: {kind: dc_load, current: 2 A}
"""
ALL = "b1 = bars\nbars = inv\nbars = pump\nbars = lamp"


def text(dc: str, ac: str = "", parts: str = PARTS) -> str:
    rows = ["case: the hide on the dyke", "parts:", parts.rstrip()]
    for key, lines in (("dc", dc), ("ac", ac)):
        if lines:
            rows += [f"{key}:", *(f"  - {line}" for line in lines.splitlines())]
    return "\n".join(rows)


def loose(dc: str, ac: str = "", parts: str = PARTS) -> list[tuple[str, str]]:
    made = gather(load_text(text(dc, ac, parts), "hide.yaml"))
    return [(fact.keys["part"], fact.keys["side"]) for fact in made if fact.type == "unconnected"]


def reviewed(dc: str, parts: str = PARTS) -> Review:
    return review(load_text(text(dc, "", parts), "hide.yaml"), "plain")


def test_where_all_is_drawn_nothing_is_reported() -> None:
    assert loose(ALL) == []


def test_where_nothing_at_all_is_drawn_there_is_no_picture() -> None:
    assert loose("") == []


@pytest.mark.parametrize(
    ("dc", "side"),
    [
        ("b1 = pump\nbars = lamp", "both"),
        ("b1 = bars\nb1 = pump\nbars- = lamp-", "plus"),
        ("b1 = bars\nb1 = pump\nbars+ = lamp+", "minus"),
        ("b1 = bars\nb1 = pump", "both"),
    ],
)
def test_what_joins_no_battery_is_reported_by_name_and_side(dc: str, side: str) -> None:
    assert ("lamp", side) in loose(dc)
    assert "pump" not in dict(loose(dc))


def test_a_body_return_is_a_way_back() -> None:
    run = "{run: b1+ = lamp+, size: 2.5 mm2, length: 2 m, return_by: chassis}"
    assert ("lamp", "minus") in loose(ALL.replace("bars = lamp", "b1+ = lamp+"))
    assert "lamp" not in dict(loose(ALL.replace("bars = lamp", run)))


def test_a_device_that_hangs_by_nothing_is_reported() -> None:
    parts = PARTS + "  f: {kind: fuse, rating: 100 A}\n"
    assert loose(ALL, parts=parts) == [("f", "both")]
    assert loose(ALL.replace("b1 = bars", "b1 = f = bars"), parts=parts) == []


def test_what_hangs_behind_a_converter_is_joined_through_it() -> None:
    parts = PARTS + "  low: {kind: dc_reducer}\n"
    assert loose(ALL.replace("bars = lamp", "bars = low.in\nlow = lamp"), parts=parts) == []
    assert ("lamp", "both") in loose(ALL.replace("bars = lamp", "low = lamp"), parts=parts)


@pytest.mark.parametrize("status", ["spare", "planned", "removed", "prepared", "destroyed"])
def test_nobody_expects_a_spare_to_be_wired(status: str) -> None:
    assert loose(ALL, parts=PARTS + f"  f: {{kind: fuse, status: {status}}}\n") == []


def test_on_the_mains_side_a_part_without_a_feed_is_reported() -> None:
    parts = PARTS + "  galley: {kind: outlet}\n  desk: {kind: outlet}\n"
    assert loose(ALL, "inv > galley", parts) == [("desk", "mains")]
    looked_at = parts.replace("desk: {kind: outlet", "desk: {kind: outlet, live_on_inverter: no")
    assert loose(ALL, "inv > galley", looked_at) == []
    assert loose(ALL, "", parts) == []


def test_only_what_was_seen_out_of_the_circuit_hangs_free() -> None:
    out = PARTS.replace("current: 2 A", "current: 2 A, status: disconnected")
    for parts, words in ((PARTS, {"yes", "no"}), (out, {"yes"})):
        made = gather(load_text(text("b1 = bars\nb1 = pump\nb1 = inv", "", parts), "hide.yaml"))
        fact = next(fact for fact in made if fact.id == "unconnected(lamp, both)")
        assert domain_of(fact.values["loose"]) == Choice(frozenset(words))


@pytest.mark.parametrize(
    ("lead", "verdict"),
    [("bars = lamp", "right"), ("lamp- = bars-", "not known"), ("f.in = lamp+\nlamp- = bars-", "not known")],
)
def test_a_lead_that_ends_nowhere_leaves_the_main_fuse_open(lead: str, verdict: str) -> None:
    parts = PARTS.replace(", main_fuse: yes", "") + "  f: {kind: fuse, rating: 100 A}\n"
    made = reviewed(f"b1+ = f = bars+\nb1- = bars-\nbars = inv\nbars = pump\n{lead}", parts)
    said = {f"{each.rule.name} {each.anchor.id}": each.verdict.value for each in made.chained.said}
    assert said["main-fuse-missing main_protection(b1)"] == verdict
