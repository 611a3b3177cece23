"""Verdicts under other values: as the chain itself would give them, over words and ranges, through conclusions."""

from collections.abc import Callable

import pytest

from ringout.inference.chain import Said, Verdict
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.review.review import Review
from ringout.review.suppose import change, open_leaves, stretches, verdict_with
from ringout.rulebase.rule import Rule
from ringout.shipped import cases_root

MakeRule = Callable[..., Rule]
Judge = Callable[..., Review]
CASES = sorted(path.stem for path in cases_root().glob("*.yaml"))


def said_of(made: Review, name: str) -> Said:
    return next(each for each in made.chained.said if each.rule.name == name)


def word(text: str) -> Choice:
    return Choice(frozenset({text}))


def leaf_of(said: Said, path: str) -> Leaf:
    return next(each for each in open_leaves(said) if each.path == path)


@pytest.mark.parametrize("name", CASES)
def test_with_nothing_supposed_every_verdict_is_the_one_given(
    reviewed: Callable[[str], Review], name: str
) -> None:
    for said in reviewed(name).chained.said:
        assert verdict_with(said, {}) is said.verdict, f"{said.rule.name} {said.anchor.id}"


def test_words_lead_to_their_verdicts(rule: MakeRule, judge: Judge) -> None:
    said = said_of(judge("b1: {kind: battery}", [rule("one")]), "one")
    found = {each.verdict: each.domain for each in stretches(said, leaf_of(said, "b1.post_covers"), {})}
    assert found == {Verdict.WRONG: word("none"), Verdict.RIGHT: Choice(frozenset({"one", "both"}))}


def test_a_range_falls_into_stretches_at_the_limit(rule: MakeRule, judge: Judge) -> None:
    said = said_of(judge("b1: {kind: battery}", [rule("one", when={"lt": ["b.capacity", "120 Ah"]})]), "one")
    below, above = stretches(said, leaf_of(said, "b1.capacity"), {})
    assert (below.verdict, above.verdict) == (Verdict.WRONG, Verdict.RIGHT)
    assert isinstance(below.domain, Span) and isinstance(above.domain, Span)
    assert below.domain.hi == pytest.approx(120, rel=1e-3)
    assert above.domain.lo == pytest.approx(120, rel=1e-3)


def test_a_conclusion_beneath_is_judged_again(rule: MakeRule, judge: Judge) -> None:
    """The consequence has no candidate where its cause falls away: it does not apply, as the chain itself says."""
    partner = {"u": {"fact": "uneven", "where": {"bank": "b.part"}}}
    rules = [
        rule("cause", concludes={"fact": "uneven", "keys": {"bank": "b.part"}}),
        rule("consequence", with_=partner, when={"eq": ["b.restraint", "none"]}),
    ]
    parts = "b1: {{kind: battery, restraint: none{}}}"
    open_ = said_of(judge(parts.format(""), rules), "consequence")
    assert open_.verdict is Verdict.NOT_KNOWN
    for answer in ("none", "both"):
        stated = said_of(judge(parts.format(f", post_covers: {answer}"), rules), "consequence").verdict
        assert verdict_with(open_, {"b1.post_covers": word(answer)}) is stated
    assert verdict_with(open_, {"b1.post_covers": word("none")}) is Verdict.WRONG
    assert verdict_with(open_, {"b1.post_covers": word("both")}) is Verdict.DOES_NOT_APPLY


def test_a_supposed_part_that_is_not_there_takes_its_verdict_along(rule: MakeRule, judge: Judge) -> None:
    made = judge("b1: {kind: battery, supposed: yes, post_covers: both (seen)}", [rule("one")])
    said = said_of(made, "one")
    assert said.verdict is Verdict.NOT_KNOWN
    assert verdict_with(said, {"b1.there": word("no")}) is Verdict.DOES_NOT_APPLY


def test_a_change_is_found_between_two_neighbours() -> None:
    inside, outside = change(lambda x: x < 7.25, 0.0, 100.0, whole=False)
    assert inside < 7.25 <= outside
    assert outside - inside < 0.001
    assert change(lambda x: x < 8, 1.0, 40.0, whole=True) == (7.0, 8.0)
    assert change(lambda x: x > 7, 40.0, 1.0, whole=True) == (8.0, 7.0)


def test_a_range_without_an_end_keeps_it(rule: MakeRule, judge: Judge) -> None:
    made = judge("b1: {kind: battery, capacity: at least 50 Ah}", [rule("one", when={"lt": ["b.capacity", "120 Ah"]})])
    said = said_of(made, "one")
    *_, last = stretches(said, leaf_of(said, "b1.capacity"), {})
    assert isinstance(last.domain, Span)
    assert (last.domain.hi, last.verdict) == (leaf_of(said, "b1.capacity").domain.hi, Verdict.RIGHT)  # type: ignore[union-attr]
