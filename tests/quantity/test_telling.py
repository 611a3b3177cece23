"""Which leaves beneath a value are open, which of them tell anything, and how far each moves it."""

import pytest
from made_up import count_yes, full_by, many_words, number, ohm, total, word

from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Span
from ringout.quantity.telling import asked_of, open_leaves, said_of, swing, swings, telling_leaves
from ringout.quantity.traced import Point, Traced


def test_open_leaves_are_those_not_settled_in_the_view() -> None:
    a, b = number("a", 1, 2), number("b", 1, 1)
    both = total.of(a, b)
    assert open_leaves(both) == (a,)
    assert open_leaves(both, {"a": Span(1, 1), "b": Span(0, 1)}) == (b,)


def test_a_leaf_that_changes_nothing_in_any_world_is_not_telling() -> None:
    def lapse(works: Point, feed: Point) -> str:
        return "yes" if works == "by_hand" and feed == "inverter" else "no"

    works = word("co.works", "by_hand", "automatic")
    feed = word("co.fed_from", "shore", "inverter")
    assert telling_leaves(Traced(lapse, (works, feed), name="lapse")) == (feed, works)
    assert telling_leaves(Traced(lapse, (works, word("co.fed_from", "shore")), name="lapse")) == ()
    settled = {"co.works": Choice(frozenset({"by_hand"}))}
    assert telling_leaves(Traced(lapse, (works, feed), name="lapse"), settled) == (feed,)


def test_with_numbers_among_them_all_open_leaves_count_as_telling() -> None:
    volts = full_by.of(word("b1.chemistry", "AGM", "LFP"), number("offset", 0, 1))
    assert telling_leaves(volts) == open_leaves(volts)
    lone = number("a", 1, 2)
    assert telling_leaves(lone) == (lone,)


def test_so_they_do_beyond_the_worlds_that_are_walked() -> None:
    seven = many_words(7)
    assert telling_leaves(Traced(count_yes, seven, name="seven", widest=Span(0, 7))) == seven


def test_nobody_is_asked_for_what_a_table_leaves_open() -> None:
    tabled = Leaf("tables.copper", Span(1, 2), "length", origin=Origin.TABLE)
    stated, settled = number("a", 1, 2), number("b", 3, 3)
    value = total.of(stated, settled, tabled)
    assert dict(asked_of(value)) == {"a": stated}
    assert asked_of(value) is asked_of(value)
    assert dict(asked_of(value, {"a": Span(1, 1), "b": Span(3, 4)})) == {"b": settled}
    assert (dict(asked_of(tabled)), dict(asked_of(stated))) == ({}, {"a": stated})


def test_what_was_only_said_is_told_by_path() -> None:
    said = Leaf("mains.earth", Choice(frozenset({"proven", "unproven"})), word=Choice(frozenset({"unproven"})))
    assert said_of(Traced(lambda x, y: x, (said, number("a", 1, 2)), name="one")) == {"mains.earth": said.word}


def test_swing_is_how_far_one_leaf_moves_the_value() -> None:
    r, i = number("r", 1, 3), number("i", 10, 20)
    drop = ohm.of(r, i)
    assert swing(drop, r) == 30  # 15 A in the middle, over 2 ohm
    assert swing(drop, i) == 20  # 2 ohm in the middle, over 10 A
    assert swing(drop, number("elsewhere", 0, 9)) == 0


def test_what_was_moved_is_remembered() -> None:
    """What hangs on a leaf is asked again by every verdict that rests on the same value."""
    ran: list[tuple[float, ...]] = []

    def product(a: float, b: float) -> float:
        ran.append((a, b))
        return a * b

    value = Traced(product, (number("a", 1, 3), number("b", 10, 20)), name="product")
    assert swings(value, {"a"}) == {"a": 30}
    assert ran == [(2, 15), (1, 15), (3, 15)]
    assert swings(value, {"a", "b"}) == {"a": 30, "b": 20}
    assert ran[3:] == [(2, 10), (2, 20)]


def test_swing_of_words() -> None:
    chemistry = word("b1.chemistry", "AGM", "LFP")
    assert swing(full_by.of(chemistry, number("offset", 0, 0)), chemistry) == pytest.approx(0.6)
    same = Traced(lambda each: str(each), (chemistry,), name="same")
    assert swing(same, chemistry) == 1
    assert swing(Traced(lambda _: "yes", (chemistry,), name="always"), chemistry) == 0
