"""Answers about wiring stand on the line of that wiring, and nothing else on it changes."""

from __future__ import annotations

import pytest

from ringout.case.load import load_text
from ringout.interview.wiring import wired

CASE = """\
case: the marsh boat
parts:
  b1: {kind: battery}
  f1: {kind: fuse}
  inv: {kind: inverter}
  chg: {kind: mains_charger}
  inlet: {kind: inlet}
  board: {kind: board}
  co: {kind: changeover}
  gpo: {kind: outlet}
  kettle: {kind: appliance}
dc:
  - b1 = f1 = inv   # seen from above
  - b1 = chg : 6 mm2, unknown   # along the bilge
  - {run: b1- = inv-, lug: crimped}
ac:
  - board | inlet > chg   # nobody traced it
  - inv > co.inverter
  - co > board
  - {feed: board | inv > gpo, length: 2 m}
  - gpo | board > kettle
"""


def changed(path: str, value: str) -> str:
    made = wired(load_text(CASE, "boat.yaml"), path, value)
    assert made is not None
    load_text(made, "boat.yaml")
    return made


@pytest.mark.parametrize(
    ("path", "value", "old", "new"),
    [
        ("chg.fed_from", "board", "board | inlet > chg ", "board > chg "),
        ("chg.fed_from", "inlet.ac", "board | inlet > chg ", "inlet > chg "),
        ("gpo.fed_from", "inv.ac", "board | inv > gpo", "inv > gpo"),
        ("b1~f1.size", "35 mm2 (label)", "b1 = f1 = inv ", "b1 = f1 = inv: 35 mm2 (label) "),
        ("f1~inv.length", "2.2 m (said)", "= inv   # seen", "= inv: unknown, unknown, 2.2 m (said)   # seen"),
        ("b1~chg.length", "about 4 m (said)", "6 mm2, unknown ", "6 mm2, about 4 m (said) "),
        ("b1-~inv-.size", "35 mm2 (said)", "lug: crimped}", "lug: crimped, size: 35 mm2 (said)}"),
        ("b1-~inv-.length", "2 m (said)", "lug: crimped}", "lug: crimped, length: 2 m (said)}"),
    ],
)
def test_an_answer_stands_on_its_line(path: str, value: str, old: str, new: str) -> None:
    assert CASE.count(old) == 1
    assert changed(path, value) == CASE.replace(old, new)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("chg.fed_from", "gpo"),  # none of the two
        ("board.fed_from", "co"),  # fed by one thing only
        ("b1~chg.size", "10 mm2 (said)"),  # stated already
        ("b1~gpo.size", "10 mm2 (said)"),  # no such cable
        ("b1~chg.lug", "crimped (said)"),  # not among what a line states behind its colon
    ],
)
def test_what_no_line_can_take_in_is_left(path: str, value: str) -> None:
    assert wired(load_text(CASE, "boat.yaml"), path, value) is None


def test_lines_in_brackets_are_kept_in_brackets() -> None:
    parts = "case: x\nparts: {b1: {kind: battery}, b2: {kind: battery}}\n"
    text = parts + "dc: [b1 = b2, {b2 = b1: '6 mm2, unknown'}]\n"
    made = wired(load_text(text, "x"), "b2~b1.length", "2 m (said)")
    assert made == text.replace("'6 mm2, unknown'", '"6 mm2, 2 m (said)"')
    made = wired(load_text(text, "x"), "b1~b2.length", "2 m (said)")
    assert made == text.replace("[b1 = b2,", '[b1 = b2: "unknown, 2 m (said)",')


def test_what_was_only_said_may_be_said_again() -> None:
    once = changed("b1~chg.length", "4 m (said)")
    assert wired(load_text(once, "boat.yaml"), "b1~chg.length", "5 m (said)") == once.replace("4 m", "5 m")
