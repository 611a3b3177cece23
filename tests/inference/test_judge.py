"""Three-valued judgement: Kleene's tables, ranges against ranges, words, splitting, shared leaves."""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.facts.fact import Fact
from ringout.inference import judge as judging
from ringout.inference.judge import Judged, Truth, both, either, judge, value_of
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import Traced, Value
from ringout.rulebase.condition import AllOf, Amount, AnyOf, Attr, Compare, Condition, LimitRef, Not
from ringout.rulebase.limits import Limit

YES, NO, OPEN = Truth.YES, Truth.NO, Truth.OPEN
WORDS = {YES: {"yes"}, NO: {"no"}, OPEN: {"yes", "no"}}


def amount(path: str, low: float, high: float | None = None) -> Leaf:
    return Leaf(path, Span(low, low if high is None else high))


def choice(path: str, *words: str) -> Leaf:
    return Leaf(path, Choice(frozenset(words)))


def said(condition: Condition | None, **values: Value) -> Judged:
    """A condition judged on one fact `f` that holds the values."""
    return judge(condition, {"f": Fact("any", {"k": "x"}, values)})


def word(name: str, *words: str, op: str = "in") -> Compare:
    return Compare(op, Attr("f", name), words=frozenset(words))


def order(op: str, name: str, other: str | Leaf) -> Compare:
    return Compare(op, Attr("f", name), Attr("f", other) if isinstance(other, str) else Amount(other))


def is_yes(name: str) -> Compare:
    return word(name, "yes", op="eq")


def by(**truths: Truth) -> dict[str, Value]:
    """Independent yes/no values that make `is_yes` come out as asked."""
    return {name: choice(name, *WORDS[truth]) for name, truth in truths.items()}


# -- Kleene's tables: strong logic of three values, S. C. Kleene's textbook (book, 1952), from memory --------

AND = {
    (YES, YES): YES, (YES, OPEN): OPEN, (YES, NO): NO,
    (OPEN, YES): OPEN, (OPEN, OPEN): OPEN, (OPEN, NO): NO,
    (NO, YES): NO, (NO, OPEN): NO, (NO, NO): NO,
}  # fmt: skip
OR = {(~a, ~b): ~truth for (a, b), truth in AND.items()}


@pytest.mark.parametrize(("a", "b"), AND)
def test_and_or_and_not(a: Truth, b: Truth) -> None:
    values, pair = by(a=a, b=b), (is_yes("a"), is_yes("b"))
    assert said(AllOf(pair), **values).truth is AND[a, b]
    assert said(AnyOf(pair), **values).truth is OR[a, b]
    assert said(Not(is_yes("a")), **values).truth is {YES: NO, NO: YES, OPEN: OPEN}[a]
    assert both([a, b]) is AND[a, b]
    assert either([a, b]) is OR[a, b]


def test_any_is_all_turned_round() -> None:
    for a, b, c in itertools.product(Truth, repeat=3):
        values = by(a=a, b=b, c=c)
        three = tuple(is_yes(name) for name in "abc")
        turned = Not(AllOf(tuple(Not(each) for each in three)))
        assert said(AnyOf(three), **values).truth is said(turned, **values).truth


def test_no_condition_is_the_default() -> None:
    assert said(None).truth is YES
    assert judge(None, {}, without=False).truth is NO
    assert both([]) is YES
    assert either([]) is NO


# -- amounts -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("op", "left", "right", "truth"),
    [
        ("gt", (3, 4), (1, 2), YES),
        ("gt", (2, 4), (1, 2), OPEN),
        ("gt", (1, 2), (2, 3), NO),
        ("gt", (2, 2), (2, 2), NO),
        ("ge", (2, 4), (1, 2), YES),
        ("ge", (2, 2), (2, 2), YES),
        ("ge", (1, 1.9), (2, 3), NO),
        ("ge", (1, 2), (2, 3), OPEN),
        ("lt", (1, 2), (3, 4), YES),
        ("lt", (1, 2), (2, 3), OPEN),
        ("lt", (2, 3), (1, 2), NO),
        ("lt", (2, 2), (2, 2), NO),
        ("le", (1, 2), (2, 3), YES),
        ("le", (2, 2), (2, 2), YES),
        ("le", (2.1, 3), (1, 2), NO),
        ("le", (2, 3), (1, 2), OPEN),
    ],
)
def test_ranges_are_compared_at_their_ends(
    op: str, left: tuple[float, float], right: tuple[float, float], truth: Truth
) -> None:
    assert said(order(op, "a", "b"), a=amount("a", *left), b=amount("b", *right)).truth is truth


@pytest.mark.parametrize("op", ["gt", "ge", "lt", "le"])
def test_a_settled_order_holds_at_every_point_and_an_open_one_has_both(op: str) -> None:
    holds = {"gt": float.__gt__, "ge": float.__ge__, "lt": float.__lt__, "le": float.__le__}[op]
    spans = [(lo, hi) for lo in (0.0, 1.0, 2.0) for hi in (0.0, 1.0, 2.0) if lo <= hi]
    for left, right in itertools.product(spans, repeat=2):
        found = said(order(op, "a", "b"), a=amount("a", *left), b=amount("b", *right)).truth
        points = {holds(x, y) for x in left for y in right}
        assert {YES: {True}, NO: {False}, OPEN: {True, False}}[found] == points, (op, left, right)


def test_an_amount_of_the_rule_and_a_limit_are_right_sides(monkeypatch: pytest.MonkeyPatch) -> None:
    assert said(order("gt", "a", amount("rule.1.1", 5)), a=amount("a", 6)).truth is YES
    table = {"AGM": amount("limits.most.AGM", 14.4), "LFP": amount("limits.most.LFP", 14.6)}
    plain = Limit("plain", "s", "voltage", "practice", "s", {"": amount("limits.plain", 5)})
    most = Limit("most", "s", "voltage", "practice", "s", table)
    monkeypatch.setattr("ringout.inference.judge.limits", lambda: {"plain": plain, "most": most})
    assert said(Compare("gt", Attr("f", "a"), LimitRef("plain", None)), a=amount("a", 4)).truth is NO
    by_type = Compare("gt", Attr("f", "a"), LimitRef("most", Attr("f", "type")))
    assert said(by_type, a=amount("a", 14.5), type=choice("type", "AGM")).truth is YES
    assert said(by_type, a=amount("a", 14.5), type=choice("type", "LFP")).truth is NO
    undecided = said(by_type, a=amount("a", 14.5), type=choice("type", "AGM", "LFP"))
    assert (undecided.truth, [*undecided.needs]) == (OPEN, ["type"])
    assert said(by_type, a=amount("a", 14.7), type=choice("type", "AGM", "LFP")).truth is YES


# -- words ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("condition", "words", "truth"),
    [
        (word("w", "AGM", op="eq"), {"AGM"}, YES),
        (word("w", "AGM", op="eq"), {"gel"}, NO),
        (word("w", "AGM", op="eq"), {"AGM", "gel"}, OPEN),
        (word("w", "AGM", op="ne"), {"AGM"}, NO),
        (word("w", "AGM", op="ne"), {"gel", "LFP"}, YES),
        (word("w", "AGM", op="ne"), {"AGM", "gel"}, OPEN),
        (word("w", "AGM", "gel"), {"AGM", "gel"}, YES),
        (word("w", "AGM", "gel"), {"gel", "LFP"}, OPEN),
        (word("w", "AGM", "gel"), {"LFP"}, NO),
    ],
)
def test_words_are_compared_as_sets(condition: Compare, words: set[str], truth: Truth) -> None:
    assert said(condition, w=choice("w", *words)).truth is truth


# -- needs ---------------------------------------------------------------------------------------------------


def test_needs_are_the_open_leaves_of_the_open_tests_only() -> None:
    values: dict[str, Value] = {
        "a": choice("a", "yes", "no"),
        "b": choice("b", "yes"),
        "c": amount("c", 1, 3),
        "d": amount("d", 2),
    }
    found = said(AllOf((is_yes("a"), is_yes("b"), order("gt", "c", "d"))), **values)
    assert (found.truth, [*found.needs]) == (OPEN, ["a", "c"])
    assert [test.truth for test in found.tests] == [OPEN, YES, OPEN]


def test_what_is_settled_needs_nothing() -> None:
    settled = said(AllOf((is_yes("a"), is_yes("b"))), **by(a=OPEN, b=NO))
    assert (settled.truth, settled.needs) == (NO, {})
    assert said(AnyOf((is_yes("a"), is_yes("b"))), **by(a=OPEN, b=YES)).needs == {}


# -- splitting -----------------------------------------------------------------------------------------------


def test_a_condition_true_in_every_world_is_true() -> None:
    either = AnyOf((word("w", "AGM", op="eq"), Not(word("w", "AGM", op="eq"))))
    assert said(either, w=choice("w", "AGM", "LFP")).truth is YES
    assert said(Not(either), w=choice("w", "AGM", "LFP")).truth is NO


def test_a_limit_by_chemistry_is_broken_whatever_the_chemistry() -> None:
    lead = AllOf((word("w", "AGM", op="eq"), order("gt", "v", amount("l", 14.8))))
    lithium = AllOf((word("w", "LFP", op="eq"), order("gt", "v", amount("m", 14.6))))
    values = {"w": choice("w", "AGM", "LFP"), "v": amount("v", 15.2)}
    found = said(AnyOf((lead, lithium)), **values)
    assert (found.truth, found.needs) == (YES, {})
    assert said(AnyOf((lead, lithium)), w=values["w"], v=amount("v", 14.7)).truth is OPEN


def test_words_that_two_tests_rest_on_are_gone_through_though_they_stand_on_right_sides() -> None:
    chosen = choice("w", "x", "y")
    one = Traced(lambda word: 1.0 if word == "x" else 3.0, (chosen,), name="one")
    other = Traced(lambda word: 3.0 if word == "x" else 1.0, (chosen,), name="other")
    values = {"two": amount("two", 2), "also": amount("also", 2), "one": one, "other": other}
    condition = AnyOf((order("lt", "two", "one"), order("lt", "also", "other")))
    assert said(condition, **values).truth is YES, "with either word one of the two is more than two"


@st.composite
def conditions(draw: st.DrawFn, deep: int = 3) -> Condition:
    """Trees of tests on a few words and numbers, some of them tested twice."""
    if deep == 0 or draw(st.booleans()):
        if draw(st.booleans()):
            return word(draw(st.sampled_from("abc")), *draw(st.sets(st.sampled_from("xyz"), min_size=1)))
        return order(draw(st.sampled_from(("gt", "ge", "lt", "le"))), draw(st.sampled_from("pq")), draw(NUMBERS))
    if draw(st.integers(0, 3)) == 0:
        return Not(draw(conditions(deep - 1)))
    return draw(st.sampled_from((AllOf, AnyOf)))(tuple(draw(st.lists(conditions(deep - 1), min_size=1, max_size=3))))


NUMBERS = st.sampled_from("pq") | st.integers(0, 4).map(lambda n: amount(f"limit{n}", n))


@given(conditions(), st.data())
def test_what_rests_on_nothing_together_comes_out_the_same_without_going_through_words(
    condition: Condition, data: st.DataObject
) -> None:
    words = {name: choice(name, *data.draw(st.sets(st.sampled_from("xyz"), min_size=1))) for name in "abc"}
    full_by = data.draw(st.dictionaries(st.sampled_from("xyz"), st.integers(0, 4), min_size=3))
    by_word = Traced(lambda chosen: float(full_by[str(chosen)]), (words["a"],), name="p")
    values: dict[str, Value] = {
        **words,
        "p": by_word if data.draw(st.booleans()) else amount("p", 1, data.draw(st.integers(1, 3))),
        "q": amount("q", *sorted((data.draw(st.integers(0, 4)), data.draw(st.integers(0, 4))))),
    }
    found = said(condition, **values).truth
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(judging, "_each_its_own", lambda found: False)
        assert said(condition, **values).truth is found


def test_splitting_stops_where_there_are_too_many_worlds() -> None:
    names = [f"w{n}" for n in range(5)]
    tautologies = AllOf(tuple(AnyOf((is_yes(name), Not(is_yes(name)))) for name in names))
    assert said(tautologies, **by(**dict.fromkeys(names, OPEN))).truth is OPEN
    assert said(AllOf(tautologies.of[:4]), **by(**dict.fromkeys(names[:4], OPEN))).truth is YES


# -- shared leaves -------------------------------------------------------------------------------------------


def test_two_sides_on_a_common_leaf_are_judged_by_their_difference() -> None:
    current = amount("amps", 50, 150)
    lost = Traced(lambda amps: float(amps) * 0.002, (current,), name="lost")
    more = Traced(lambda amps: float(amps) * 0.003, (current,), name="lost over the longer lead")
    apart = Traced(lambda amps: float(amps) * 0.003, (amount("other", 50, 150),), name="of another current")
    assert said(order("gt", "more", "lost"), more=more, lost=lost).truth is YES
    assert said(order("lt", "more", "lost"), more=more, lost=lost).truth is NO
    assert said(order("gt", "apart", "lost"), apart=apart, lost=lost).truth is OPEN
    assert said(order("ge", "same", "same"), same=current).truth is YES
    assert said(order("gt", "same", "same"), same=current).truth is NO


@pytest.mark.parametrize("op", ["gt", "ge", "lt", "le"])
def test_a_common_leaf_with_an_open_end_settles_nothing_at_its_other_end(op: str) -> None:
    far = amount("far", 4, math.inf)
    double = Traced(lambda x: 2 * float(x), (far,), name="double")
    longer = Traced(lambda x: float(x) + 20, (far,), name="longer")
    assert said(order(op, "a", "b"), a=double, b=longer).truth is OPEN
    assert said(order(op, "b", "a"), a=double, b=longer).truth is OPEN


def test_two_sides_on_too_many_common_words_stay_open() -> None:
    words = [choice(f"w{n}", "yes", "no") for n in range(7)]

    def count(*said: object) -> float:
        return float(said.count("yes"))

    few = Traced(count, tuple(words), name="few", widest=Span(0.0, 7.0))
    more = Traced(lambda *said: count(*said) + 1, tuple(words), name="more", widest=Span(1.0, 8.0))
    found = said(order("gt", "more", "few"), more=more, few=few)
    assert found.truth is OPEN
    assert len(found.needs) == 7


# -- supposed values -----------------------------------------------------------------------------------------


def test_a_supposed_value_is_relied_on_only_through_the_view() -> None:
    hint = Choice(frozenset({"no"}))
    leaf = Leaf("w", Choice(frozenset({"yes", "no"})), origin=Origin.SUPPOSED, hint=hint)
    assert said(is_yes("w"), w=leaf).truth is OPEN
    binding = {"f": Fact("any", {"k": "x"}, {"w": leaf})}
    assert judge(is_yes("w"), binding, {"w": hint}).truth is NO


def test_the_value_behind_an_attribute() -> None:
    leaf = choice("w", "yes")
    assert value_of(Attr("f", "w"), {"f": Fact("any", {"k": "x"}, {"w": leaf})}) is leaf
