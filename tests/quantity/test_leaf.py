"""Leaves: what may be relied on stands apart from what is merely supposed."""

import pytest

from ringout.quantity.leaf import WEAK, Leaf, Origin
from ringout.quantity.span import Choice, Span


def test_a_leaf_nobody_stated_is_open_and_not_known() -> None:
    leaf = Leaf("b1.capacity", Span(1, 3000), "charge", source="common practice, no source")
    assert (leaf.known, leaf.settled, leaf.origin) == (False, False, Origin.NOT_STATED)
    assert leaf.hint is None
    assert not leaf.asked


@pytest.mark.parametrize(
    ("domain", "settled"),
    [
        (Span(4, 4), True),
        (Span(4, 5), False),
        (Choice(frozenset({"LFP"})), True),
        (Choice(frozenset({"LFP", "AGM"})), False),
    ],
)
def test_settled_means_one_value_is_left(domain: Span | Choice, settled: bool) -> None:
    assert Leaf("b1.x", domain).settled is settled


def test_only_what_is_assumed_or_supposed_is_weak() -> None:
    assert {Origin.ASSUMED, Origin.SUPPOSED} == WEAK


def test_two_leaves_of_equal_content_are_not_the_same_input() -> None:
    one, other = Leaf("b1.internal", Span(2, 5)), Leaf("b1.internal", Span(2, 5))
    assert one != other
    assert len({one, other}) == 2
