"""What a verdict hangs on: least sets by brute force, points where a finding flips by reviewing on both sides."""

import itertools
import json
import random
from collections.abc import Callable, Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringout.case.load import load_text
from ringout.inference.chain import Said, Verdict
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Domain, Span
from ringout.report.hangs import hold_words
from ringout.review.review import Review, review
from ringout.review.sensitivity import UNSURE, Hold, beyond, deciding, holds, least_sets
from ringout.review.suppose import Supposed, open_leaves
from ringout.rulebase.load import levelled, read_rule
from ringout.rulebase.rule import Rule
from ringout.shipped import cases_root
from ringout.text.document import read_text

MakeRule = Callable[..., Rule]
Judge = Callable[..., Review]
Only = Callable[[Review], Said]
CASES = sorted(path.stem for path in cases_root().glob("*.yaml"))


def some_points(leaf: Leaf, among: random.Random) -> list[Domain]:
    """All words, or both ends, values between the limits of the conditions, and one anywhere."""
    domain = leaf.domain
    if isinstance(domain, Choice):
        return [Choice(frozenset({word})) for word in sorted(domain.options)]
    lo, hi = domain.lo, min(domain.hi, max(1e6, domain.lo * 10))
    values = [lo, hi, among.uniform(lo, hi), *(x for x in (20.0, 40.0, 100.0, 200.0, 400.0) if lo < x < hi)]
    return [Span(x, x) for x in values]


def worlds(leaves: tuple[Leaf, ...], among: random.Random) -> Iterator[dict[str, Domain]]:
    for chosen in itertools.product(*(some_points(leaf, among) for leaf in leaves)):
        yield {leaf.path: domain for leaf, domain in zip(leaves, chosen, strict=True)}


def settles(said: Said, leaves: tuple[Leaf, ...], among: random.Random) -> bool:
    return all(Supposed(said).verdict(world) is not Verdict.NOT_KNOWN for world in worlds(leaves, among))


WORDS = {
    "post_covers": ("none", "one", "both"),
    "restraint": ("none", "strapped"),
    "box": ("open", "lidded", "sealed"),
    "vent": ("none", "tube"),
}
TESTS = st.one_of(
    st.sampled_from(sorted(WORDS)).flatmap(
        lambda name: st.sampled_from(WORDS[name]).map(lambda word: {"eq": [f"b.{name}", word]})
    ),
    st.sampled_from(["80 Ah", "120 Ah", "300 Ah"]).map(lambda text: {"lt": ["b.capacity", text]}),
    st.just({"gt": ["b.max_charge", "30 A"]}),
)
CONDITIONS = st.recursive(
    TESTS, lambda inner: st.tuples(st.sampled_from(["all", "any"]), st.lists(inner, min_size=2, max_size=3)).map(
        lambda made: {made[0]: made[1]}
    ), max_leaves=5,
)  # fmt: skip


@settings(max_examples=40)
@given(when=CONDITIONS, seed=st.integers(0, 99))
def test_the_least_set_settles_and_no_smaller_one_does(when: dict[str, object], seed: int, only: Only) -> None:
    made = _review(when)
    said = only(made)
    among = random.Random(seed)
    sets, leaves = least_sets(Supposed(said)), open_leaves(said)
    if said.verdict is not Verdict.NOT_KNOWN:
        assert sets == ()
        return
    size = len(sets[0].leaves) if sets else 4
    for each in sets:
        assert len(each.leaves) == size
        assert settles(said, each.leaves, among), [leaf.path for leaf in each.leaves]
    for smaller in range(1, min(size, 4)):
        for chosen in itertools.combinations(leaves, smaller):
            assert not settles(said, chosen, among), f"{[leaf.path for leaf in chosen]} settle it already"


def _review(when: dict[str, object]) -> Review:
    file = {
        "rule": "one",
        "title": "made for a test",
        "area": "protection",
        "says": "made for a test",
        "looks_at": {"b": "battery"},
        "when": when,
        "concludes": {"fact": "uneven", "keys": {"bank": "b.part"}},
        "sources": ["made for a test"],
        "examples": [],
    }
    rules = levelled([read_rule(read_text(json.dumps(file), "one"))])
    return review(load_text("case: made for a test\nparts:\n  b1: {kind: battery}\n", "made.yaml"), "plain", rules)


def test_each_outcome_of_a_set_is_said(rule: MakeRule, judge: Judge, only: Only) -> None:
    when = {"all": [{"eq": ["b.post_covers", "none"]}, {"eq": ["b.restraint", "none"]}]}
    [found] = least_sets(Supposed(only(judge("b1: {kind: battery}", [rule("one", when=when)]))))
    assert sorted(leaf.path for leaf in found.leaves) == ["b1.post_covers", "b1.restraint"]
    wrong = [dict(each.given) for each in found.answers if each.verdict is Verdict.WRONG]
    assert wrong == [{path: Choice(frozenset({"none"})) for path in ("b1.post_covers", "b1.restraint")}]


def test_nothing_settles_what_is_settled(rule: MakeRule, judge: Judge, only: Only) -> None:
    said = only(judge("b1: {kind: battery, post_covers: none}", [rule("one")]))
    assert (least_sets(Supposed(said)), deciding(Supposed(said))) == ((), None)


def test_the_leaf_that_decides_most_is_told_with_its_share(rule: MakeRule, judge: Judge, only: Only) -> None:
    """Two of three words of the covers settle it alone, one of several of the box does not."""
    when = {"all": [{"eq": ["b.post_covers", "none"]}, {"lt": ["b.capacity", "120 Ah"]}]}
    most = deciding(Supposed(only(judge("b1: {kind: battery, capacity: 100..140 Ah}", [rule("one", when=when)]))))
    assert most is not None
    assert most.leaf.path == "b1.post_covers"
    assert most.share == pytest.approx(2 / 3)


def sound(said: Said, its: Hold) -> Iterator[tuple[float, bool]]:
    """Values on both sides of each point where a verdict changes, and whether it should still be as it is."""
    if its.below is not None:
        step = max(abs(its.below), 1e-9) * 0.01
        yield from ((its.below + step, True), (its.below - step, False))
    if its.above is not None:
        step = max(abs(its.above), 1e-9) * 0.01
        yield from ((its.above - step, True), (its.above + step, False))


@pytest.mark.parametrize("name", ["crake", "teal"])
def test_a_verdict_changes_where_it_is_said_to_and_nowhere_before(
    reviewed: Callable[[str], Review], name: str
) -> None:
    made, among, seen = reviewed(name), random.Random(3), 0
    for said in made.chained.said:
        if said.verdict is not Verdict.WRONG:
            continue
        for each in holds(made.case, Supposed(said)):
            lo = each.below if each.below is not None else each.bounds.lo
            hi = each.above if each.above is not None else each.bounds.hi
            inside = [(x, True) for x in (among.uniform(lo, hi) for _ in range(3)) if x not in (lo, hi)]
            for x, same in [*sound(said, each), *inside]:
                if each.leaf.dimension == "count" or not each.bounds.contains(x):
                    continue
                verdict = Supposed(said).verdict({each.leaf.path: Span(x, x)})
                assert (verdict is said.verdict) == same, (said.rule.name, each, x)
                seen += 1
    assert seen > 5


def test_what_is_only_assumed_holds_whatever_it_is_or_says_where_it_would_not(
    rule: MakeRule, judge: Judge, only: Only
) -> None:
    less = [rule("one", when={"lt": ["b.capacity", "120 Ah"]})]
    made = judge("b1: {kind: battery, capacity: 100 Ah (assumed)}", less)
    said = only(made)
    assert said.verdict is Verdict.NOT_KNOWN
    [its] = holds(made.case, Supposed(said))
    assert (its.leaf.path, its.below) == ("b1.capacity", None)
    assert its.above is not None and its.above == pytest.approx(120, rel=1e-3)
    assert its.becomes_above is Verdict.RIGHT


def test_a_firm_value_says_so(rule: MakeRule, judge: Judge, only: Only) -> None:
    when = {"any": [{"eq": ["b.post_covers", "none"]}, {"lt": ["b.capacity", "120 Ah"]}]}
    made = judge("b1: {kind: battery, post_covers: none, capacity: 100 Ah (assumed)}", [rule("one", when=when)])
    [its] = holds(made.case, Supposed(only(made)))
    assert its.firm and its.room == float("inf")


@pytest.mark.parametrize("name", CASES)
def test_nobody_s_system_drifts_from_its_volts(reviewed: Callable[[str], Review], name: str) -> None:
    """A 12 V system is no 13.7 V system: what it is built for is not moved, though verdicts rest on it."""
    made = reviewed(name)
    for said in made.chained.said:
        moved = {each.leaf.path.rpartition(".")[2] for each in holds(made.case, Supposed(said))}
        assert moved.isdisjoint({"nominal", "nominal_out", "dc_volts", "ac_volts"})


def test_volts_that_are_only_assumed_are_named_and_not_moved(rule: MakeRule, judge: Judge, only: Only) -> None:
    made = judge("b1: {kind: battery, nominal: 12 V (assumed)}", [rule("one", when={"lt": ["b.nominal", "20 V"]})])
    [its] = holds(made.case, Supposed(only(made)))
    assert (its.leaf.path, its.below, its.above) == ("b1.nominal", None, None)
    assert its.bounds == its.now == Span(12.0, 12.0)
    assert hold_words(its, only(made)) == "b1.nominal, only assumed to be 12 V: wrong if so"


def test_only_the_origins_asked_for_are_moved(reviewed: Callable[[str], Review]) -> None:
    made = reviewed("crake")
    wrong = [said for said in made.chained.said if said.verdict is Verdict.WRONG]
    found = [each for said in wrong for each in holds(made.case, Supposed(said), UNSURE)]
    assert found and {each.leaf.origin for each in found} <= UNSURE
    assert any(each.leaf.origin is Origin.LABEL for said in wrong for each in holds(made.case, Supposed(said)))


@pytest.mark.parametrize(
    ("left", "right", "op", "shares"),
    [
        (Span(0.0, 10.0), Span(4.0, 4.0), "gt", (0.6, 0.4)),
        (Span(0.0, 10.0), Span(4.0, 4.0), "lt", (0.4, 0.6)),
        (Span(0.0, 10.0), Span(4.0, 6.0), "ge", (0.4, 0.4)),
        (Span(0.0, 10.0), Span(12.0, 13.0), "gt", (0.0, 1.0)),
        (Span(0.0, float("inf")), Span(4.0, 4.0), "gt", None),
        (Span(3.0, 3.0), Span(4.0, 4.0), "gt", None),
        (Choice(frozenset({"yes"})), Span(4.0, 4.0), "gt", None),
    ],
)
def test_the_share_beyond_a_limit(
    left: Domain, right: Domain, op: str, shares: tuple[float, float] | None
) -> None:
    assert beyond(left, right, op) == (pytest.approx(shares) if shares else None)


def test_what_was_stated_holds_the_verdict_and_not_the_reading_that_contradicts_it(
    winch_read: Callable[[str, str], Review],
) -> None:
    def held(value: str) -> set[str]:
        made = winch_read("90 A", value)
        [said] = [each for each in made.chained.said if each.rule.name == "load-starved-by-its-lead"]
        assert said.verdict is Verdict.WRONG
        return {each.leaf.path for each in holds(made.case, Supposed(said))}

    assert "winch.current" in held("88 A")
    assert not any(path.startswith(("winch.current", "readings.")) for path in held("5 A"))
