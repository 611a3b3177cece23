"""Ranges of computed values: no sampled point outside, ends attained, shared leaves counted once.

The formulas here are made of steps that move one way in each input; what the product's own formulas do is
sampled over every case elsewhere.
"""

import itertools
import math
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_up import count_yes, full_by, many_words, number, ohm, total, word

from ringout.quantity import traced
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import (
    FULL_CORNERS,
    VIEWS,
    WORLDS,
    Point,
    TooManyWorlds,
    Traced,
    Value,
    apart,
    domain_of,
    formula,
    leaves_of,
)


@formula("a / b", dimension="ratio", source="plain division")
def quotient(above: float, below: float) -> float:
    """One value as a share of another."""
    return above / below


@formula("a - b", dimension="current", source="plain subtraction")
def difference(more: float, less: float) -> float:
    """What is left."""
    return more - less


def span(domain: Domain) -> Span:
    assert isinstance(domain, Span)
    return domain


# Trees over one small set of leaves, so that most leaves are used more than once.

POSITIVE = st.tuples(st.floats(0.125, 50), st.floats(0, 30)).map(lambda ends: (ends[0], ends[0] + ends[1]))


@st.composite
def trees(draw: st.DrawFn, most: int) -> Traced:
    """A value in which each leaf moves the result one way only: up, or (below a fraction bar) down."""
    up = [number(f"up{n}", *draw(POSITIVE)) for n in range(draw(st.integers(1, most)))]
    down = [number(f"down{n}", *draw(POSITIVE)) for n in range(draw(st.integers(0, most)))]

    def rising(leaves: list[Leaf], depth: int) -> Value:
        if depth == 0:
            return draw(st.sampled_from(leaves))
        step = draw(st.sampled_from([total, ohm]))
        return step.of(rising(leaves, depth - 1), rising(leaves, depth - 1))

    made = total.of(rising(up, draw(st.integers(1, 3))))
    return quotient.of(made, rising(down, draw(st.integers(0, 2)))) if down else made


def corners(value: Traced) -> list[float]:
    """Every corner, walked here without the code under test."""
    paths = [leaf.path for leaf in value.leaves]
    ends = [(span(leaf.domain).lo, span(leaf.domain).hi) for leaf in value.leaves]
    return [float(value.at(dict(zip(paths, each, strict=True)))) for each in itertools.product(*ends)]


@given(trees(4), st.randoms(use_true_random=False))
def test_no_sampled_point_leaves_the_range(value: Traced, rng: random.Random) -> None:
    found = span(value.domain())
    slack = 1e-9 * max(abs(found.lo), abs(found.hi))
    for _ in range(20):
        ends = {leaf.path: span(leaf.domain) for leaf in value.leaves}
        point = {path: rng.uniform(its.lo, its.hi) for path, its in ends.items()}
        assert found.lo - slack <= float(value.at(point)) <= found.hi + slack


@given(trees(3), trees(3), st.integers(0, 4))
def test_what_a_value_rests_on_is_told_without_putting_it_together(one: Traced, other: Traced, deep: int) -> None:
    asked = [*(f"{way}{n}" for way in ("up", "down") for n in range(4)), "elsewhere"]
    told = [path for path in asked if one.rests_on(path, deep)]
    assert told == [path for path in asked if path in one.paths]
    for leaf in other.leaves:
        assert apart(one, leaf) is apart(leaf, one) is (leaf.path not in told)
    assert apart(one, other) is apart(other, one) is one.paths.isdisjoint(other.paths)
    assert apart(number("a", 1, 2), number("b", 1, 2)) and not apart(number("a", 1, 2), number("a", 1, 2))


def test_no_end_of_views_is_remembered() -> None:
    value = ohm.of(number("r", 1, 2), number("i", 1, 2))
    for at in range(VIEWS * 3):
        assert value.domain({"r": Span(at, at)}) == Span(at, 2 * at)
    assert value.domain({"r": Span(3, 3)}) == Span(3, 6)
    assert len(value._viewed or ()) <= VIEWS + 1


@given(trees(2))
def test_both_ends_of_the_range_are_attained(value: Traced) -> None:
    assert len(value.leaves) <= FULL_CORNERS
    results = corners(value)
    assert value.domain() == Span(min(results), max(results))


@given(trees(4))
def test_the_search_finds_what_all_corners_give(value: Traced) -> None:
    results = corners(value)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(traced, "FULL_CORNERS", 0)
        searched = span(value.domain())
    assert math.isclose(searched.lo, min(results), rel_tol=1e-12)
    assert math.isclose(searched.hi, max(results), rel_tol=1e-12)


def test_up_to_six_open_leaves_may_change_the_way_of_each_other() -> None:
    # 0.3 % less volts a kelvin, above or below the 25 C of the label: which end counts depends on the other.
    shift = Traced(lambda k, t: k * (t - 25), (number("k", -4, -2), number("t", 15, 35)), name="shift")
    assert shift.domain() == Span(-40, 40)


def test_more_leaves_than_corners_are_walked_for_are_searched() -> None:
    pieces = [number(f"hop{n}.length", n, n + 1) for n in range(FULL_CORNERS + 4)]
    assert total.of(*pieces).domain() == Span(45, 55)


def test_the_search_tries_a_leaf_again_after_another_has_moved(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(traced, "FULL_CORNERS", 0)
    a, b = number("a", 0, 1), number("b", 0, 2)
    assert span(Traced(lambda a, b: a * (b - 1) + b, (a, b), name="turns").domain()).hi == 3


def test_a_leaf_used_twice_is_counted_once() -> None:
    current = number("inverter.current", 100, 150)
    out_and_back = difference.of(total.of(current, number("fridge.current", 4, 6)), current)
    assert out_and_back.domain() == Span(4, 6)
    assert quotient.of(ohm.of(current, current), current).domain() == Span(100, 150)


def test_leaves_of_one_path_are_one_leaf() -> None:
    twins = number("b1.internal", 2, 5), number("b1.internal", 2, 5)
    assert quotient.of(*twins).domain() == Span(1, 1)
    assert [leaf.path for leaf in quotient.of(*twins).leaves] == ["b1.internal"]


def test_leaves_are_listed_each_once_by_path() -> None:
    a, b = number("a", 1, 2), number("b", 1, 2)
    assert total.of(b, total.of(a, b)).leaves == (a, b)
    assert leaves_of(a) == (a,)


def test_a_settled_value_is_one_point() -> None:
    assert ohm.of(number("r", 0.004, 0.004), number("i", 100, 100)).domain() == Span(0.4, 0.4)


# -- words -----------------------------------------------------------------------------------------------


def test_open_words_are_worlds() -> None:
    volts = full_by.of(word("b1.chemistry", "AGM", "LFP"), number("offset", 0, 0.1))
    assert volts.domain() == Span(12.8, 13.5)


def test_a_value_that_is_a_word_is_the_set_of_those_it_can_be() -> None:
    def fed(a: Point, b: Point) -> str:
        return "yes" if a == b == "yes" else "no"

    open_one = Traced(fed, (word("a", "yes", "no"), word("b", "yes")), name="fed")
    assert open_one.domain() == Choice(frozenset({"yes", "no"}))
    decided = Traced(fed, (word("a", "no"), word("b", "yes", "no")), name="fed")
    assert decided.domain() == Choice(frozenset({"no"}))


def test_words_and_numbers_are_counted_together() -> None:
    chemistry, offset = word("b1.chemistry", "AGM", "LFP"), number("offset", -1, 1)
    spread = difference.of(full_by.of(chemistry, offset), full_by.of(chemistry, number("other", 0, 0)))
    found = span(spread.domain())
    assert (round(found.lo, 9), round(found.hi, 9)) == (-1, 1)


def test_up_to_64_worlds_are_walked() -> None:
    assert WORLDS == 64
    assert Traced(count_yes, many_words(6), name="six").domain() == Span(0, 6)


def test_beyond_that_the_widest_answer_is_given_or_none() -> None:
    widest = Span(0, 7)
    assert Traced(count_yes, many_words(7), name="seven", widest=widest).domain() == widest
    with pytest.raises(TooManyWorlds):
        Traced(count_yes, many_words(7), name="seven").domain()


def test_settled_words_make_no_worlds() -> None:
    settled = tuple(word(f"s{n}", "yes") for n in range(20))
    assert Traced(count_yes, (*settled, *many_words(2)), name="most settled").domain() == Span(20, 22)


def test_a_word_that_many_numbers_decide_is_refused_not_guessed() -> None:
    over = Traced(
        lambda *each: "yes" if sum(map(float, each)) > 3 else "no",
        tuple(number(f"n{n}", 0, 1) for n in range(FULL_CORNERS + 1)),
        name="over",
    )
    with pytest.raises(TooManyWorlds):
        over.domain()


# -- views -----------------------------------------------------------------------------------------------


def test_a_view_replaces_the_domain_of_a_leaf() -> None:
    current, fuse = number("i", 100, 150), number("r", 0.001, 0.001)
    drop = ohm.of(fuse, current)
    assert drop.domain({"i": Span(120, 120)}) == Span(0.12, 0.12)
    assert domain_of(current, {"i": Span(1, 2)}) == Span(1, 2)
    assert domain_of(drop, {"elsewhere": Span(1, 2)}) == drop.domain()


def test_a_view_leaves_the_value_itself_as_it_was() -> None:
    drop = ohm.of(number("r", 1, 2), number("i", 3, 4))
    before = drop.domain()
    drop.domain({"r": Span(1, 1)})
    assert drop.domain() == before == Span(3, 8)


@given(trees(3), st.floats(0.1, 0.9))
def test_splitting_a_leaf_gives_ranges_that_together_are_the_whole(value: Traced, where: float) -> None:
    whole = span(value.domain())
    for leaf in value.leaves:
        its = span(leaf.domain)
        cut = its.lo + (its.hi - its.lo) * where
        low = span(value.domain({leaf.path: Span(its.lo, cut)}))
        high = span(value.domain({leaf.path: Span(cut, its.hi)}))
        assert Span(min(low.lo, high.lo), max(low.hi, high.hi)) == whole


@given(st.sets(st.sampled_from(["AGM", "gel", "LFP"]), min_size=1))
def test_splitting_words_gives_the_worlds_one_by_one(chemistries: set[str]) -> None:
    volts = full_by.of(word("b1.chemistry", *chemistries), number("offset", 0, 0))
    parts = [span(volts.domain({"b1.chemistry": Choice(frozenset({one}))})) for one in chemistries]
    assert all(part.exact for part in parts)
    assert volts.domain() == Span(min(part.lo for part in parts), max(part.hi for part in parts))


# -- formulas --------------------------------------------------------------------------------------------


def test_a_formula_is_called_with_numbers_too() -> None:
    assert ohm(0.004, 100) == 0.4
    assert (ohm.__name__, ohm.__doc__) == (
        "ohm",
        "Voltage (V) over a resistance (ohm) that carries a current (A).",
    )


def test_a_traced_value_says_what_it_is_made_of() -> None:
    r, i = number("r", 1, 1), number("i", 1, 1)
    value = ohm.of(r, i)
    assert (value.name, value.dimension) == ("ohm", "voltage")
    assert (value.formula, value.source) == ("U = R I", "Ohm's law")
    assert value.inputs == (r, i)
    assert ohm.of(r, i, name="drop of the lead").name == "drop of the lead"


def test_a_point_must_choose_for_every_open_leaf() -> None:
    drop = ohm.of(number("r", 2, 2), number("i", 3, 4))
    assert drop.at({"i": 4}) == 8
    with pytest.raises(ValueError, match="i is still open"):
        drop.at({})


def test_a_range_is_worked_out_once() -> None:
    calls: list[Point] = []
    value = Traced(lambda each: calls.append(each) or float(each), (number("a", 1, 2),), name="once")
    assert value.domain() == value.domain() == Span(1, 2)
    assert len(calls) == 2  # its two corners


def test_a_value_used_twice_is_computed_once() -> None:
    calls: list[Point] = []

    def counted(each: Point) -> float:
        calls.append(each)
        return float(each)

    once = Traced(counted, (number("a", 3, 3),), name="once")
    assert total.of(once, once, once).at({}) == 9
    assert len(calls) == 1
