"""Verdicts under other values: as the chain itself would give them, over words and ranges, through conclusions."""

from collections.abc import Callable

import pytest

from ringout.inference.chain import Said, Verdict, judge_step
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.review.review import Review
from ringout.review.suppose import Supposed, open_leaves
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
        assert Supposed(said).verdict({}) is said.verdict, f"{said.rule.name} {said.anchor.id}"


def test_words_lead_to_their_verdicts(rule: MakeRule, judge: Judge) -> None:
    said = said_of(judge("b1: {kind: battery}", [rule("one")]), "one")
    found = {each.verdict: each.domain for each in Supposed(said).stretches(leaf_of(said, "b1.post_covers"))}
    assert found == {Verdict.WRONG: word("none"), Verdict.RIGHT: Choice(frozenset({"one", "both"}))}


def test_a_range_falls_into_stretches_at_the_limit(rule: MakeRule, judge: Judge) -> None:
    said = said_of(judge("b1: {kind: battery}", [rule("one", when={"lt": ["b.capacity", "120 Ah"]})]), "one")
    below, above = Supposed(said).stretches(leaf_of(said, "b1.capacity"))
    assert (below.verdict, above.verdict) == (Verdict.WRONG, Verdict.RIGHT)
    assert isinstance(below.domain, Span) and isinstance(above.domain, Span)
    assert below.domain.hi == pytest.approx(120, rel=1e-3)
    assert above.domain.lo == pytest.approx(120, rel=1e-3)


@pytest.mark.parametrize("sign", ["lt", "le", "gt", "ge"])
def test_the_value_that_print_names_belongs_to_the_stretch_of_its_verdict(
    rule: MakeRule, judge: Judge, sign: str
) -> None:
    said = said_of(judge("b1: {kind: battery}", [rule("one", when={sign: ["b.capacity", "120 Ah"]})]), "one")
    its, leaf = Supposed(said), leaf_of(said, "b1.capacity")
    there = [each for each in its.stretches(leaf) if isinstance(each.domain, Span) and each.domain.contains(120)]
    assert [each.verdict for each in there] == [its.verdict({leaf.path: Span(120, 120)})]
    assert there[0].verdict is (Verdict.WRONG if sign in ("le", "ge") else Verdict.RIGHT)


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
        assert Supposed(open_).verdict({"b1.post_covers": word(answer)}) is stated
    assert Supposed(open_).verdict({"b1.post_covers": word("none")}) is Verdict.WRONG
    assert Supposed(open_).verdict({"b1.post_covers": word("both")}) is Verdict.DOES_NOT_APPLY


def test_a_supposed_part_that_is_not_there_takes_its_verdict_along(rule: MakeRule, judge: Judge) -> None:
    made = judge("b1: {kind: battery, supposed: yes, post_covers: both (seen)}", [rule("one")])
    said = said_of(made, "one")
    assert said.verdict is Verdict.NOT_KNOWN
    assert Supposed(said).verdict({"b1.there": word("no")}) is Verdict.DOES_NOT_APPLY


def test_a_range_without_an_end_keeps_it(rule: MakeRule, judge: Judge) -> None:
    made = judge("b1: {kind: battery, capacity: at least 50 Ah}", [rule("one", when={"lt": ["b.capacity", "120 Ah"]})])
    said = said_of(made, "one")
    *_, last = Supposed(said).stretches(leaf_of(said, "b1.capacity"))
    assert isinstance(last.domain, Span)
    assert (last.domain.hi, last.verdict) == (leaf_of(said, "b1.capacity").domain.hi, Verdict.RIGHT)  # type: ignore[union-attr]


def test_a_verdict_between_two_that_are_alike_is_not_passed_over(rule: MakeRule, judge: Judge) -> None:
    """Wrong only in a window: at both ends of the range it is right."""
    when = {"all": [{"gt": ["b.capacity", "120 Ah"]}, {"lt": ["b.capacity", "130 Ah"]}]}
    said = said_of(judge("b1: {kind: battery}", [rule("one", when=when)]), "one")
    found = Supposed(said).stretches(leaf_of(said, "b1.capacity"))
    assert [each.verdict for each in found] == [Verdict.RIGHT, Verdict.WRONG, Verdict.RIGHT]
    window = found[1].domain
    assert isinstance(window, Span)
    assert (window.lo, window.hi) == (pytest.approx(120, rel=1e-3), pytest.approx(130, rel=1e-3))


def test_what_was_judged_once_is_not_judged_again(
    rule: MakeRule, judge: Judge, monkeypatch: pytest.MonkeyPatch
) -> None:
    said = said_of(judge("b1: {kind: battery}", [rule("one")]), "one")
    its, judged = Supposed(said), []
    monkeypatch.setattr(
        "ringout.review.suppose.judge_step", lambda *args: judged.append(args) or judge_step(*args)
    )
    for _ in range(2):
        assert its.verdict({"b1.post_covers": word("none")}) is Verdict.WRONG
        assert its.verdict({"b1.capacity": Span(1.0, 1.0)}) is Verdict.NOT_KNOWN, "does not bear on it"
    assert len(judged) == 1
