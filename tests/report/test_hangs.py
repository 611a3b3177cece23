"""What a verdict hangs on, in words."""

import math
from collections.abc import Callable

import pytest

from ringout.inference.chain import Said, Verdict
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Domain, Span
from ringout.report.hangs import FIRM, hangs, moving, settling, stretch_words
from ringout.review.review import Review

Reviewed = Callable[[str], Review]
LENGTH = Leaf("a~b.length", Span(0.05, 30.0), "length")


def said_of(made: Review, rule: str, about: str) -> Said:
    return next(
        each for each in made.chained.said if each.rule.name == rule and about in each.anchor.keys.values()
    )


@pytest.mark.parametrize(
    ("domain", "words"),
    [
        (Span(0.05, 3.0), "up to 3 m"),
        (Span(3.0, 30.0), "from 3 m"),
        (Span(3.0001, 30.0), "above 3 m"),
        (Span(0.05, 2.9999), "below 3 m"),
        (Span(2.0001, 2.9999), "above 2 m to below 3 m"),
        (Span(2.0, 3.0), "from 2 m to 3 m"),
        (Span(3.0, 3.0), "3 m"),
        (Span(0.05, 30.0), "whatever it is, 0.05 to 30 m"),
        (Choice(frozenset({"AGM"})), "AGM"),
        (Choice(frozenset({"gel", "AGM", "sealed_flooded"})), "AGM, gel or sealed flooded"),
    ],
)
def test_a_stretch_in_words(domain: Domain, words: str) -> None:
    assert stretch_words(LENGTH, domain) == words


def test_one_answer_with_both_outcomes(reviewed: Reviewed) -> None:
    made = reviewed("crake-half")
    heading, bullets = next(settling(made.case, said_of(made, "earth-reading-too-high", "installation")))
    assert heading == "What would settle it: one answer"
    assert bullets[0][0].endswith("Only from a licensed person's test or report.")
    assert list(bullets[0][1:]) == ["below 500 mohm: right", "from 500 mohm: wrong"]


def test_where_no_few_answers_do_the_one_on_which_most_hangs_is_named(reviewed: Reviewed) -> None:
    made = reviewed("crake")
    heading, [most] = next(settling(made.case, said_of(made, "inverter-left-on-overnight", "inverter")))
    assert heading == "What would settle it: no few answers do in every case; most hangs on"
    assert most[0].startswith("inverter.idle: ")
    assert [line.split(": ")[1] for line in most[1:]] == ["right", "still not known"]


def test_a_settled_verdict_needs_nothing(reviewed: Reviewed) -> None:
    made = reviewed("crake")
    for said in made.chained.said:
        assert bool(list(settling(made.case, said))) == (said.verdict is Verdict.NOT_KNOWN)


def test_how_far_a_value_may_move(reviewed: Reviewed) -> None:
    made = reviewed("crake")
    [(heading, bullets)] = hangs(made.case, said_of(made, "fridge-starved-by-its-lead", "fridge"))
    assert heading == "How far a value may move before this is no longer wrong"
    lines = [line for bullet in bullets for line in bullet]
    assert "fridge.current, 6 to 7 A (label): wrong above 3.61 A; not known below that" in lines


def test_what_no_table_changes_says_so(reviewed: Reviewed) -> None:
    made = reviewed("crake")
    said = said_of(made, "loop-empties-the-bank", "charger")
    [(_, bullets)] = hangs(made.case, said)
    assert [FIRM] in [list(each) for each in bullets]
    assert moving(made.case, said) == []


def test_a_stretch_without_end_is_said_too() -> None:
    share = Leaf("b1.share.as_read", Span(0.0, math.inf), "ratio")
    assert stretch_words(share, Span(0.0, 1.1)) == "up to 110 %"
    assert stretch_words(share, Span(1.1, math.inf)) == "from 110 %"
