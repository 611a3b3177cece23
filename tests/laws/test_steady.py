"""What a value claims to grow or fall with, it grows or falls with, whatever the others are: its range leans on that.

The claims are those of every value of every sample and field case. They are tried well beyond the ranges that cases
and tables hold today: a plan, a "what if" and another table lead there.
"""

import math
import random
from collections.abc import Iterator
from functools import cache

import pytest
from case_leaves import CASES
from hypothesis import given
from hypothesis import strategies as st

from ringout.case.load import load
from ringout.facts.gather import gather
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Span
from ringout.quantity.steady import ADDING, Steady, steady
from ringout.quantity.traced import Traced, Value, domain_of, formula

BEYOND = 10.0
LEAST, MOST = 1e-6, 1e6
SLACK = 1e-9


def beneath(value: Value, seen: set[int]) -> Iterator[Steady]:
    if isinstance(value, Traced) and id(value) not in seen:
        seen.add(id(value))
        if isinstance(value, Steady):
            yield value
        for each in value.inputs:
            yield from beneath(each, seen)


@cache
def claims() -> dict[str, Steady]:
    """One value for each claim: a function, how many numbers it takes, and which it falls with."""
    found: dict[str, Steady] = {}
    for path in CASES:
        facts, seen = gather(load(path)), set[int]()
        for value in (value for fact in facts for value in fact.values.values()):
            for each in beneath(value, seen):
                found[f"{each.fn.__name__} of {len(each.inputs)}, falling {each.falls}"] = each
    return found


def near(value: Value, by: random.Random) -> float:
    """A number within a range, or up to `BEYOND` times beyond it."""
    span = domain_of(value)
    assert isinstance(span, Span)
    low, high = max(span.lo / BEYOND, LEAST), max(min(span.hi * BEYOND, MOST), LEAST)
    return math.exp(by.uniform(math.log(low), math.log(high)))


def broken(value: Steady, by: random.Random) -> str:
    """What a value does at a point against its claim, empty where it keeps it."""
    point = [near(each, by) for each in value.inputs]
    for place, each in enumerate(value.inputs):
        one, other = sorted((point[place], near(each, by)))
        before, after = (float(value.fn(*point[:place], end, *point[place + 1 :])) for end in (one, other))
        least, most = (after, before) if place in value.falls else (before, after)
        if least > most + SLACK * abs(most):
            return f"number {place} from {one} to {other} makes it {after}, was {before}, the others {point}"
    return ""


def test_what_the_engine_leans_on_is_there() -> None:
    assert len({value.fn for value in claims().values()}) > 15


@given(st.randoms(use_true_random=False))
def test_every_claim_is_kept(by: random.Random) -> None:
    assert {name: fault for name, value in claims().items() if (fault := broken(value, by))} == {}


@given(st.randoms(use_true_random=False))
def test_what_is_said_to_add_adds(by: random.Random) -> None:
    adding = [value for value in claims().values() if value.fn in ADDING]
    assert len({value.fn for value in adding}) > 3
    for value in adding:
        point = [near(each, by) for each in value.inputs]
        added = sum(-each if place in value.falls else each for place, each in enumerate(point))
        assert value.fn(*point) == pytest.approx(added, abs=1e-9 * max(point)), value.name


@formula("by size", dimension="resistance", source="made for this test")
def by_size(rating: float, bolted: float, small: float) -> float:
    """Steady in no direction: it falls with the rating only where what is small is more."""
    return bolted if rating >= 100 else small


def test_a_claim_that_holds_within_the_ranges_alone_is_found_out() -> None:
    rating, bolted, small = Leaf("r", Span(1, 500)), Leaf("b", Span(0.0001, 0.0004)), Leaf("s", Span(0.0005, 0.01))
    value = steady(by_size, rating, bolted, small, name="either", falls=(0,))
    by = random.Random(1)
    assert any(broken(value, by) for _ in range(100))
