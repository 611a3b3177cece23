"""What a mesh gives over ranges: between the ends of what it rests on, and no point outside."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringout.physics.nodal import Mesh
from ringout.physics.solved import Solved
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import Point, Traced, Value

PAIR = Mesh(2, ((0, 1), (0, 1)))
OHMS = st.floats(1e-4, 1e-1)

# Three batteries in a row, 0-1, 2-3, 4-5, linked 1-3, 3-5 and 0-2, 2-4.
ROW = Mesh(6, ((0, 1), (2, 3), (4, 5), (1, 3), (3, 5), (0, 2), (2, 4)))
ENDS = st.tuples(OHMS, OHMS).map(lambda two: Span(min(two), max(two)))
AMPS = st.tuples(st.floats(0, 100), st.floats(0, 100)).map(lambda two: Span(min(two), max(two)))


def solved(
    mesh: Mesh,
    ohms: tuple[Value, ...],
    draws: list[tuple[int, int, Value]],
    at: tuple[int, int] = (0, 0),
    branch: int | None = None,
    either_way: bool = False,
) -> Solved:
    return Solved(
        mesh,
        ohms,
        draws,
        name="result",
        formula="nodal solve",
        dimension="",
        memo={},
        at=at,
        branch=branch,
        either_way=either_way,
    )


def span(value: Traced) -> Span:
    found = value.domain()
    assert isinstance(found, Span)
    return found


def test_two_batteries_share_between_the_ends_of_their_resistances() -> None:
    ohms = Leaf("one", Span(0.002, 0.004)), Leaf("other", Span(0.004, 0.006))
    share = solved(PAIR, ohms, [(1, 0, Leaf("amps", Span(1, 1)))], branch=0)
    assert (span(share).lo, span(share).hi) == pytest.approx((0.5, 0.75))
    assert share.at({"one": 0.002, "other": 0.006, "amps": 1.0}) == pytest.approx(0.75)


def test_each_leaf_is_moved_once_the_others_at_their_middle() -> None:
    one, other = Leaf("one", Span(0.002, 0.004)), Leaf("other", Span(0.004, 0.006))
    share = solved(PAIR, (one, other), [(1, 0, Leaf("amps", Span(1, 1)))], branch=0)
    moved = share.moved({"one"})["one"]
    assert moved == pytest.approx([5 / 7, 5 / 9])
    assert share.moved({"other"})["other"] == pytest.approx([4 / 7, 6 / 9])
    assert share.moved({"one"})["one"] is moved


@settings(max_examples=25)
@given(
    ohms=st.lists(ENDS, min_size=7, max_size=7),
    one=AMPS,
    other=AMPS,
    branch=st.integers(0, 6),
    weights=st.lists(st.sampled_from((0.0, 0.3, 1.0)), min_size=9, max_size=9),
)
def test_no_point_of_a_mesh_leaves_its_range(
    ohms: list[Span], one: Span, other: Span, branch: int, weights: list[float]
) -> None:
    leaves = tuple(Leaf(f"r{n}", each) for n, each in enumerate(ohms))
    draws: list[tuple[int, int, Value]] = [(1, 0, Leaf("i1", one)), (5, 2, Leaf("i2", other))]
    every = [*leaves, draws[0][2], draws[1][2]]
    point = {}
    for leaf, weight in zip(every, weights, strict=True):
        assert isinstance(leaf, Leaf) and isinstance(leaf.domain, Span)
        point[leaf.path] = leaf.domain.lo + weight * (leaf.domain.hi - leaf.domain.lo)
    for made in (
        solved(ROW, leaves, draws, branch=branch),
        solved(ROW, leaves, draws, branch=branch, either_way=True),
        solved(ROW, leaves, draws, at=(3, 4)),
    ):
        slack = 1e-9 * (1 + abs(float(made.at(point))))
        assert span(made).lo - slack <= float(made.at(point)) <= span(made).hi + slack


def test_one_draw_is_extreme_at_a_corner() -> None:
    leaves = tuple(Leaf(f"r{n}", Span(0.002, 0.002 + 0.001 * n)) for n in range(7))
    draw: list[tuple[int, int, Value]] = [(1, 0, Leaf("amps", Span(10, 10)))]
    for branch in range(7):
        made = solved(ROW, leaves, draw, branch=branch)
        results = [
            made.at({f"r{n}": each for n, each in enumerate(corner)} | {"amps": 10.0})
            for corner in itertools.product(*((0.002, 0.002 + 0.001 * n) for n in range(7)))
        ]
        assert (span(made).lo, span(made).hi) == pytest.approx((min(map(float, results)), max(map(float, results))))


def test_a_resistance_that_all_batteries_share_may_be_extreme_inside_its_range() -> None:
    """The first of three batteries: it works harder, then less hard again, as all of them soften together."""
    battery = Leaf("battery", Span(0.0001, 0.1))
    links = tuple(Leaf(f"link{n}", Span(ohm, ohm)) for n, ohm in enumerate((0.001, 0.02, 0.0005, 0.0005)))
    made = solved(ROW, (battery, battery, battery, *links), [(3, 0, Leaf("amps", Span(1, 1)))], branch=0)
    rest = {leaf.path: leaf.domain.lo for leaf in links if isinstance(leaf.domain, Span)} | {"amps": 1.0}
    results = [float(made.at({"battery": 0.0001 * 1000 ** (n / 200), **rest})) for n in range(201)]
    assert max(results) > max(results[0], results[-1]) + 0.05, "the case shows what it is made for"
    assert span(made).hi >= max(results)
    assert span(made).hi == pytest.approx(max(results), rel=1e-4)


def test_a_current_that_may_flow_both_ways_may_be_nothing() -> None:
    # A bridge out of balance to either side.
    bridge = Mesh(4, ((0, 1), (0, 2), (1, 3), (2, 3), (1, 2)))
    ohms = (*(Leaf(f"r{n}", Span(1, 1)) for n in range(3)), Leaf("r3", Span(0.5, 2)), Leaf("r4", Span(1, 1)))
    draw: list[tuple[int, int, Value]] = [(3, 0, Leaf("amps", Span(10, 10)))]
    signed = span(solved(bridge, ohms, draw, branch=4))
    assert signed.lo < 0 < signed.hi
    assert span(solved(bridge, ohms, draw, branch=4, either_way=True)) == Span(0, max(-signed.lo, signed.hi))


def test_more_words_than_can_be_walked_through_do_not_stop_it() -> None:
    words = [Leaf(f"w{n}", Choice(frozenset({"a", "b", "c"}))) for n in range(5)]

    def pick(word: Point) -> Point:
        return {"a": 0.001, "b": 0.002, "c": 0.004}[str(word)]

    pair = Mesh(2, ((0, 1),) * 5)
    ohms = tuple(Traced(pick, (word,), name=word.path, formula="by word") for word in words)
    share = span(solved(pair, ohms, [(1, 0, Leaf("amps", Span(1, 1)))], branch=0))
    assert (share.lo, share.hi) == pytest.approx((250 / (250 + 4000), 1000 / (1000 + 1000)))
