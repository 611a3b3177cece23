"""Steady values: two evaluations give the range that all corners give."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.quantity.steady import Steady, adds, steady
from ringout.quantity.telling import swing, swings
from ringout.quantity.traced import WORLDS, Point, Traced, formula, leaves_of


@formula("a + b · c / d", dimension="voltage", source="made for these tests")
def mixed(a: float, b: float, c: float, d: float) -> float:
    return a + b * c / d


@formula("a · b", dimension="", source="made for these tests")
def product(a: float, b: float) -> float:
    return a * b


@adds
@formula("a + b - c", dimension="", source="made for these tests")
def balance(a: float, b: float, c: float) -> float:
    return a + b - c


NUMBERS = st.floats(0.1, 100.0)
SPANS = st.tuples(NUMBERS, NUMBERS).map(lambda two: Span(min(two), max(two)))


def leaf(path: str, low: float, high: float) -> Leaf:
    return Leaf(path, Span(low, high))


@given(spans=st.tuples(SPANS, SPANS, SPANS, SPANS))
def test_two_evaluations_give_what_all_corners_give(spans: tuple[Span, ...]) -> None:
    leaves = [Leaf(name, span) for name, span in zip("abcd", spans, strict=True)]
    found = steady(mixed, *leaves, name="mixed", falls=(3,)).domain()
    every = mixed.of(*leaves, name="mixed").domain()
    assert isinstance(found, Span) and isinstance(every, Span)
    assert (found.lo, found.hi) == pytest.approx((every.lo, every.hi))


def test_it_is_made_of_its_inputs_like_any_other_value() -> None:
    inner = steady(product, leaf("a", 1, 2), leaf("b", 3, 4), name="inner")
    outer = steady(mixed, leaf("c", 0, 1), inner, leaf("a", 1, 2), leaf("d", 2, 4), name="outer", falls=(3,))
    assert [each.path for each in leaves_of(outer)] == ["a", "b", "c", "d"]
    assert outer.at({"a": 2.0, "b": 3.0, "c": 0.5, "d": 4.0}) == 0.5 + 6 * 2 / 4
    assert outer.domain() == Span(0 + 3 * 1 / 4, 1 + 8 * 2 / 2)
    assert (outer.formula, outer.dimension, outer.source) == (
        "a + b · c / d",
        "voltage",
        "made for these tests",
    )


def test_another_domain_for_a_leaf_counts_all_the_way_up() -> None:
    inner = steady(product, leaf("a", 1, 2), leaf("b", 3, 4), name="inner")
    outer = steady(product, inner, leaf("c", 1, 1), name="outer")
    assert outer.domain() == Span(3, 8)
    assert outer.domain({"a": Span(2, 2)}) == Span(6, 8)
    assert outer.domain({"x": Span(0, 0)}) == Span(3, 8)
    assert outer.domain() == Span(3, 8)


def chosen(word: Leaf, name: str, **values: tuple[float, float]) -> Traced:
    """A number that goes by a word."""
    words = list(values)

    def pick(said: Point, *each: Point) -> Point:
        return each[words.index(str(said))]

    leaves = [leaf(f"{name}.{each}", *ends) for each, ends in values.items()]
    return Traced(pick, (word, *leaves), name=name)


def test_what_hangs_on_one_word_stays_together() -> None:
    word = Leaf("battery.sort", Choice(frozenset({"wet", "dry"})))
    volts = chosen(word, "volts", wet=(10, 11), dry=(20, 21))
    ohms = chosen(word, "ohms", wet=(5, 5), dry=(1, 1))
    both = steady(product, volts, ohms, name="both")
    assert both.words == (word,)
    # Mixed up, wet with dry, it would be 10 to 105.
    assert both.domain() == Span(20, 55)
    assert both.domain({"battery.sort": Choice(frozenset({"dry"}))}) == Span(20, 21)


def test_more_words_than_can_be_walked_through_mix_and_do_not_stop() -> None:
    words = [Leaf(f"w{n}", Choice(frozenset({"one", "two"}))) for n in range(7)]
    assert 2 ** len(words) > WORLDS
    value: Traced = steady(product, leaf("a", 1, 1), leaf("b", 1, 1), name="start")
    for n, word in enumerate(words):
        value = steady(product, value, chosen(word, f"v{n}", one=(1, 1), two=(2, 2)), name=f"up to {n}")
    assert isinstance(value, Steady)
    assert value.domain() == Span(1, 2**7)


def test_a_leaf_at_both_ends_at_once_makes_the_range_wider_never_narrower() -> None:
    shared = leaf("a", 1, 2)
    ratio = steady(mixed, leaf("zero", 0, 0), shared, leaf("one", 1, 1), shared, name="a / a", falls=(3,))
    assert ratio.domain() == Span(0.5, 2)


@given(spans=st.tuples(SPANS, SPANS, SPANS, SPANS))
def test_a_leaf_moves_it_as_far_as_it_moves_any_value_of_the_same_formula(spans: tuple[Span, ...]) -> None:
    a, b, c, d = (Leaf(name, span) for name, span in zip("abcd", spans, strict=True))
    made = steady(mixed, a, steady(product, b, c, name="inner"), b, d, name="outer", falls=(3,))
    plain = mixed.of(a, product.of(b, c, name="inner"), b, d, name="outer")
    assert made.middle == pytest.approx(plain.middle)
    for leaf in (a, b, c, d):
        assert swing(made, leaf) == pytest.approx(swing(plain, leaf))


@given(spans=st.tuples(SPANS, SPANS, SPANS, SPANS), first=st.sets(st.sampled_from("abcd")))
def test_leaves_moved_together_move_it_as_each_does_alone(spans: tuple[Span, ...], first: set[str]) -> None:
    """`b` moves it through two of its inputs; what was moved before, here or beneath, is moved no other way."""

    def made(*, before: set[str]) -> Traced:
        a, b, c, d = (Leaf(name, span) for name, span in zip("abcd", spans, strict=True))
        shared = steady(product, b, c, name="shared")
        swings(shared, before)
        return steady(mixed, a, shared, steady(product, shared, b, name="again"), d, name="outer", falls=(3,))

    alone = {path: swings(made(before=set()), {path})[path] for path in "abcd"}
    value = made(before=first)
    assert swings(value, first) == {path: alone[path] for path in first}
    assert swings(value, {*"abcd", "elsewhere"}) == alone


def test_a_word_beneath_moves_it_too() -> None:
    word = Leaf("battery.sort", Choice(frozenset({"wet", "dry"})))
    value = steady(product, chosen(word, "volts", wet=(10, 10), dry=(21, 21)), leaf("b", 1, 3), name="made")
    assert swing(value, word) == 11 * 2
    assert swing(value, leaf("elsewhere", 0, 1)) == 0


@given(spans=st.tuples(SPANS, SPANS, SPANS))
def test_a_sum_moves_as_far_as_what_it_is_made_of(spans: tuple[Span, ...]) -> None:
    a, b, c = (Leaf(name, span) for name, span in zip("abc", spans, strict=True))
    chosen = Leaf("w", Choice(frozenset({"one", "two", "three"})))
    by_word = Traced(lambda word: {"one": 1.0, "two": 2.0, "three": 7.0}[str(word)], (chosen,), name="by word")
    inner = steady(product, a, b, name="inner")
    summed = steady(balance, inner, steady(balance, by_word, c, a, name="deep", falls=(2,)), c, name="sum", falls=(2,))
    each = Traced(lambda a, b, w, c: a * b + (w + c - a) - c, (a, b, by_word, c), name="the same")
    for leaf_ in (a, b, c, chosen):
        assert swing(summed, leaf_) == pytest.approx(swing(each, leaf_), abs=1e-9), leaf_.path


def test_a_sum_without_end_moves_as_any_other_value() -> None:
    endless, a, c = leaf("endless", 1, math.inf), leaf("a", 1, 3), leaf("c", 0, 1)
    made = steady(balance, endless, a, c, name="sum", falls=(2,))
    assert swing(made, endless) == math.inf
