"""Where an answer changes: by halving, at places told beforehand, and by following what is compared."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Span
from ringout.quantity.traced import NO_VIEW, Traced
from ringout.review.change import change, passed, zero

X = Leaf("x", Span(0.0, 100.0))


def test_a_change_is_found_between_two_neighbours() -> None:
    found = change(lambda x: x < 7.25, 0.0, 100.0, whole=False)
    assert found is not None
    inside, outside = found
    assert inside < 7.25 <= outside
    assert outside - inside < 0.001
    assert change(lambda x: x < 8, 1.0, 40.0, whole=True) == (7.0, 8.0)
    assert change(lambda x: x > 7, 40.0, 1.0, whole=True) == (8.0, 7.0)


def test_nothing_changes() -> None:
    assert change(lambda x: True, 0.0, 100.0, whole=False) is None
    assert change(lambda x: True, 0.0, 100.0, whole=False, places=[20.0]) is None


@given(at=st.floats(0.1, 99.9), wrong=st.lists(st.floats(0.1, 99.9), max_size=3), down=st.booleans())
def test_places_tell_nothing_that_halving_does_not(at: float, wrong: list[float], down: bool) -> None:
    """Places at which nothing changes do no harm, and one at which it does saves looks, not exactness."""
    start, end = (100.0, 0.0) if down else (0.0, 100.0)
    looks: list[float] = []

    def holds(x: float) -> bool:
        looks.append(x)
        return x > at if down else x < at

    plain = change(holds, start, end, whole=False)
    places = sorted([*wrong, at], key=lambda x: abs(x - start))
    told = change(holds, start, end, whole=False, places=places)
    assert plain is not None and told is not None
    assert told[0] == pytest.approx(plain[0], rel=1e-3) and told[1] == pytest.approx(plain[1], rel=1e-3)
    assert holds(told[0]) and not holds(told[1])


def test_a_place_told_takes_two_looks() -> None:
    looks: list[float] = []
    found = change(lambda x: looks.append(x) or x < 7.25, 0.0, 100.0, whole=False, places=[7.25])
    assert found == change(lambda x: x < 7.25, 0.0, 100.0, whole=False)
    assert len(looks) == 2


def test_a_window_between_places_is_found() -> None:
    found = change(lambda x: not 20 < x < 30, 0.0, 100.0, whole=False, places=[20.0, 30.0])
    assert found is not None and found[1] == pytest.approx(20, rel=1e-3)


@given(at=st.floats(0.1, 99.9), power=st.sampled_from([-1.0, 0.5, 1.0, 2.0]))
def test_the_zero_of_a_function(at: float, power: float) -> None:
    assert zero(lambda x: x**power - at**power, 0.05, 100.0) == pytest.approx(at, rel=1e-4)


def test_both_ends_of_a_range_pass_a_limit() -> None:
    """Twice to three times x against 60: the high end passes it at 20, the low end at 30."""
    times = Leaf("times", Span(2.0, 3.0))
    value = Traced(lambda x, k: float(x) * float(k), (X, times), name="x times k")
    limit = Leaf("limit", Span(60.0, 60.0))
    assert passed([(value, limit)], X, NO_VIEW, 0.0, 100.0) == pytest.approx([20, 30], rel=1e-4)
    assert passed([(value, limit)], X, NO_VIEW, 100.0, 0.0) == pytest.approx([30, 20], rel=1e-4)
    assert passed([(value, limit)], X, NO_VIEW, 0.0, 10.0) == []
    wide = Leaf("limit", Span(60.0, 90.0))
    assert passed([(value, wide)], X, NO_VIEW, 0.0, 100.0) == pytest.approx([20, 45], rel=1e-4)
    assert passed([(value, limit)], X, {"times": Span(2.0, 2.0)}, 0.0, 100.0) == pytest.approx([30, 30], rel=1e-4)


def test_an_end_that_is_nowhere_passes_nothing() -> None:
    endless = Leaf("endless", Span(0.0, float("inf")))
    value = Traced(lambda x, k: float(x) * float(k), (X, Leaf("word", Span(2.0, 2.0))), name="x")
    assert passed([(value, endless)], X, NO_VIEW, 1.0, 100.0) == []
