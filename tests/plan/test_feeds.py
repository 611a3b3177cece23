"""AC lines rewritten: one consumer leaves its line, the others are fed as before."""

from collections.abc import Callable

import pytest

from ringout.case.case import Case
from ringout.case.load import load_text
from ringout.plan.feeds import feed_of, without
from ringout.plan.written import Unfit

MakeCase = Callable[..., Case]

LINES = """\
  - inlet > co.shore
  - inverter > co.inverter
  - co > rcd > galley, dinette   # the board
"""


def fed(case: Case) -> dict[str, tuple[str, ...]]:
    """Each input with what may feed it."""
    return {feed.to: feed.sources for feed in case.feeds}


@pytest.mark.parametrize(
    ("gone", "line"),
    [
        ("galley.ac", "co > rcd > dinette   # the board"),
        ("rcd.ac", "rcd > galley, dinette   # the board"),
        ("co.shore", None),
    ],
)
def test_one_feed_goes_and_all_others_stay(wired: MakeCase, gone: str, line: str | None) -> None:
    case = wired(ac=LINES)
    made = load_text(without(case.document.text, case, {gone}), "after.yaml")
    assert fed(made) == {to: sources for to, sources in fed(case).items() if to != gone}
    assert line is None or f"  - {line}\n" in made.document.text


def test_a_line_in_the_middle_of_which_a_feed_goes_becomes_two(wired: MakeCase) -> None:
    case = wired(ac="  - inlet > co.shore\n  - co > galley > rcd > dinette\n")
    made = load_text(without(case.document.text, case, {"rcd.ac"}), "after.yaml")
    assert made.frame.ac == ["inlet > co.shore", "co > galley", "rcd > dinette"]


def test_what_else_is_said_of_a_line_stays_with_it(wired: MakeCase) -> None:
    case = wired(ac="  - {feed: 'inlet > rcd > galley', size: 2.5 mm2}\n")
    made = load_text(without(case.document.text, case, {"galley.ac"}), "after.yaml")
    assert made.frame.ac == [{"feed": "inlet > rcd", "size": "2.5 mm2"}]


def test_a_feed_that_is_one_of_two_goes_as_one(wired: MakeCase) -> None:
    case = wired(ac="  - inlet | inverter > rcd > galley\n")
    made = load_text(without(case.document.text, case, {"galley.ac"}), "after.yaml")
    assert made.frame.ac == ["inlet | inverter > rcd"]


def test_a_feed_is_known_by_its_consumer(wired: MakeCase) -> None:
    case = wired(ac=LINES)
    assert feed_of(case, "galley").sources == ("rcd.ac",)
    assert feed_of(case, "co.shore").to == "co.shore"
    with pytest.raises(Unfit, match=r"co has several feeds: co\.shore, co\.inverter"):
        feed_of(case, "co")
    with pytest.raises(Unfit, match="nothing is written that feeds charger"):
        feed_of(case, "charger")
