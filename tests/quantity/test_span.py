import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.quantity.span import Choice, Span

numbers = st.floats(allow_nan=False, width=32)
spans = st.tuples(numbers, numbers).map(lambda ends: Span(min(ends), max(ends)))


@pytest.mark.parametrize(("lo", "hi"), [(2.0, 1.0), (math.nan, 1.0), (1.0, math.nan)])
def test_a_range_without_two_ordered_numbers_is_refused(lo: float, hi: float) -> None:
    with pytest.raises(ValueError, match="a range needs"):
        Span(lo, hi)


def test_only_one_value_left_is_exact() -> None:
    assert Span(4, 4).exact
    assert not Span(4, math.inf).exact


def test_both_ends_belong_to_the_range() -> None:
    assert [Span(3, 5).contains(x) for x in (2.9, 3, 5, 5.1)] == [False, True, True, False]


def test_ranges_that_touch_share_one_value_and_ranges_apart_contradict() -> None:
    assert Span(1, 3).meet(Span(3, 5)) == Span(3, 3)
    assert Span(1, 2).meet(Span(3, 5)) is None


@given(spans, spans, numbers)
def test_what_two_ranges_share_is_in_both(a: Span, b: Span, x: float) -> None:
    both = a.meet(b)
    assert (both is not None and both.contains(x)) == (a.contains(x) and b.contains(x))


def test_a_choice_knows_its_only_option() -> None:
    assert Choice(frozenset({"AGM"})).only == "AGM"
    assert Choice(frozenset({"AGM"})).exact


def test_an_open_choice_has_no_only_option() -> None:
    still_open = Choice(frozenset({"LFP", "AGM"}))
    assert not still_open.exact
    with pytest.raises(ValueError, match="still open between AGM, LFP"):
        _ = still_open.only


def test_an_empty_choice_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one option"):
        Choice(frozenset())
