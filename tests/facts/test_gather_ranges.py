"""The guard of the whole idea: no sampled point of any computed value of any case leaves its range.

Ranges are found at the ends of the leaves. That is right only while every chain of formulas is monotone in
each leaf; a `max`, an `abs` or a ratio of outputs breaks it silently, and a rule would then say right or
wrong where it is not known.
"""

import math
import random
from collections.abc import Iterator
from pathlib import Path

import pytest

from ringout.case.load import load
from ringout.facts.gather import gather
from ringout.physics.nodal import Mesh, branch_share
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import Point, Traced, Value, leaves_of
from ringout.shipped import cases_root

CASES = sorted([*(Path(__file__).parent / "cases").glob("*.yaml"), *cases_root().glob("*.yaml")])
POINTS = 30
SLACK = 1e-9


def drawn(leaf: Leaf, draw: random.Random) -> Point:
    """One point of a leaf's domain: often an end, else anywhere, small ones as likely as large ones."""
    if isinstance(leaf.domain, Choice):
        return draw.choice(sorted(leaf.domain.options))
    low, high = leaf.domain.lo, leaf.domain.hi
    how = draw.random()
    if how < 0.3:
        return draw.choice([low, high])
    if how < 0.65 or low <= 0:
        return draw.uniform(low, high)
    return min(max(math.exp(draw.uniform(math.log(low), math.log(high))), low), high)


def holds(domain: Domain, result: Point) -> bool:
    if isinstance(domain, Choice):
        return result in domain.options
    slack = SLACK * max(1.0, abs(float(result)))
    return domain.lo - slack <= float(result) <= domain.hi + slack


def escapes(value: Traced, seed: str, points: int = POINTS) -> list[str]:
    """The sampled points of a value that lie outside its range."""
    draw = random.Random(seed)
    domain = value.domain()
    found = []
    for _ in range(points):
        point = {leaf.path: drawn(leaf, draw) for leaf in value.leaves}
        result = value.at(point)
        if not holds(domain, result):
            found.append(f"{value.name}: {result} outside {domain} at {point}")
    return found


def beneath(value: Value) -> Iterator[Traced]:
    """A value and every computed value it was made of."""
    if isinstance(value, Traced):
        yield value
        for each in value.inputs:
            yield from beneath(each)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_no_sampled_point_leaves_its_range(path: Path) -> None:
    tried = 0
    for fact in gather(load(path)):
        for name, value in fact.values.items():
            if isinstance(value, Traced):
                assert escapes(value, f"{path.stem} {fact.id} {name}") == []
                tried += 1
    assert tried >= 10


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_leaf_that_is_told_apart_by_its_path_is_one_leaf(path: Path) -> None:
    """Two leaves of one path with two domains would be mixed up without a word."""
    domains: dict[str, Domain] = {}
    for fact in gather(load(path)):
        for value in fact.values.values():
            for leaf in leaves_of(value):
                assert domains.setdefault(leaf.path, leaf.domain) == leaf.domain, leaf.path


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_every_computed_value_shows_where_it_comes_from(path: Path) -> None:
    for fact in gather(load(path)):
        for value in fact.values.values():
            for each in beneath(value):
                assert each.name and each.formula, f"{fact.id}: {each.name}"


def test_the_guard_sees_what_is_not_monotone() -> None:
    leaf = Leaf("x", Span(0.0, 1.0))
    larger = Traced(lambda x: max(float(x), 1 - float(x)), (leaf,), name="the larger of the two")
    assert larger.domain() == Span(1.0, 1.0)
    assert escapes(larger, "seed")
    word = Traced(lambda x: "low" if float(x) in (0.0, 1.0) else "middle", (leaf,), name="a word")
    assert escapes(word, "seed")


def test_the_guard_sees_a_largest_share_taken_inside_a_formula() -> None:
    """The trap this project once fell into: the larger share of two batteries, by their own resistances."""
    pair = Mesh(2, ((0, 1), (0, 1)))

    def largest(one: Point, other: Point) -> Point:
        ohms = (float(one), float(other))
        return max(branch_share(pair, ohms, (1, 0), branch) for branch in (0, 1))

    leaves = Leaf("b1.internal", Span(0.002, 0.003)), Leaf("b2.internal", Span(0.0021, 0.0022))
    value = Traced(largest, leaves, name="largest share")
    domain = value.domain()
    assert isinstance(domain, Span) and domain.lo > 0.5
    assert escapes(value, "seed")
