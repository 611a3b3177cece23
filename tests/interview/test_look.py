"""What the interview takes from a review, and what an answer changed."""

from __future__ import annotations

from ringout.case.load import load_text
from ringout.interview.look import Look, look, news
from ringout.review.review import review

HIDE = """\
case: the hide
parts:
  battery: {kind: battery}
  inv: {kind: inverter, rating: 2 kW}
  chg: {kind: mains_charger, live_on_inverter: unknown (said)}
"""


def seen(text: str) -> Look:
    return look(review(load_text(text, "hide.yaml"), "plain"), "a screen")


def loop(at: Look) -> list[str]:
    return [title for title in at.faults if title.startswith("The charger runs from the battery it charges")]


def test_a_look_holds_needs_faults_and_the_screen() -> None:
    made = seen(HIDE)
    assert made.screen == "a screen"
    assert "mains.rcd" in [need.path for need in made.needs]
    assert made.faults[loop(made)[0]] is None


def test_one_look_at_the_lamp_settles_the_loop_either_way() -> None:
    before = seen(HIDE)
    title = loop(before)[0]
    ruled_out = news(before, seen(HIDE.replace("unknown (said)", "no (said)")))
    assert f"Settled: not so: {title}." in ruled_out
    found = news(before, seen(HIDE.replace("unknown (said)", "yes (said)")))
    assert f"Settled: wrong: {title}." in found


def test_only_changes_are_news() -> None:
    same = {"open": None, "wrong": True, "right": False}
    before = Look(faults={**same, "was open": None, "gone": True})
    after = Look(faults={**same, "was open": False, "new": False, "bad": True})
    assert news(before, after) == ["Settled: not so: was open.", "Settled: wrong: bad."]


def test_what_is_open_again_is_news() -> None:
    assert news(Look(faults={"a": True, "b": False}), Look(faults={"a": None, "b": None})) == [
        "Not known any more: a.",
        "Not known any more: b.",
    ]
    assert news(Look(faults={"a": False}), Look(faults={"a": True})) == ["Settled: wrong: a."]
