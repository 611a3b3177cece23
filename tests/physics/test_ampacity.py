"""What a conductor may carry: at the rows of the published table, between them and beyond."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.physics.ampacity import ampacity_a, carried, engine_factor
from ringout.quantity.conductor import awg_area
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Span

AREAS = st.floats(0.5, 240)
CLASSES = st.floats(60, 200)

# 33 CFR 183.425 table 5 (regulation, United States, no year seen), read on a public page: AWG number as the
# formula of ASTM B258 counts (0 is 1/0, -3 is 4/0) | A at 60 C, 105 C and 200 C insulation
PUBLISHED = [
    (18, 10, 20, 25),
    (16, 15, 25, 35),
    (14, 20, 35, 45),
    (12, 25, 45, 55),
    (10, 40, 60, 70),
    (8, 55, 80, 100),
    (6, 80, 120, 135),
    (4, 105, 160, 180),
    (3, 120, 180, 210),
    (2, 140, 210, 240),
    (1, 165, 245, 280),
    (0, 195, 285, 325),
    (-1, 225, 330, 370),
    (-2, 260, 385, 430),
    (-3, 300, 445, 510),
]


@pytest.mark.parametrize(("gauge", "at_60", "at_105", "at_200"), PUBLISHED)
def test_the_rows_are_those_of_the_regulation(gauge: int, at_60: float, at_105: float, at_200: float) -> None:
    area = awg_area(gauge)
    assert ampacity_a(area, 60) == pytest.approx(at_60)
    assert ampacity_a(area, 105) == pytest.approx(at_105)
    assert ampacity_a(area, 200) == pytest.approx(at_200)


def test_factors_for_engine_spaces_are_those_of_the_regulation() -> None:
    # 33 CFR 183.425 note 1 (regulation, United States, no year seen).
    published = {60: 0.58, 75: 0.75, 80: 0.78, 90: 0.82, 105: 0.85, 125: 0.89, 200: 1.0}
    assert {c: pytest.approx(engine_factor(c)) for c in published} == published


@given(AREAS, AREAS, CLASSES)
def test_more_copper_never_carries_less(one: float, other: float, insulation: float) -> None:
    less, more = sorted((one, other))
    assert ampacity_a(less, insulation) <= ampacity_a(more, insulation) * (1 + 1e-12)


@given(AREAS, CLASSES, CLASSES)
def test_better_insulation_never_carries_less(area: float, one: float, other: float) -> None:
    worse, better = sorted((one, other))
    assert ampacity_a(area, worse) <= ampacity_a(area, better) * (1 + 1e-12)
    assert engine_factor(worse) <= engine_factor(better)


def test_between_rows_and_classes_it_lies_between() -> None:
    assert ampacity_a(awg_area(4), 105) < ampacity_a(25, 105) < ampacity_a(awg_area(2), 105)
    assert ampacity_a(awg_area(4), 97.5) == pytest.approx((135 + 160) / 2)


def test_beyond_the_table_copper_keeps_the_measure() -> None:
    least = awg_area(18)
    assert ampacity_a(least / 2, 105) == pytest.approx(10)
    assert ampacity_a(240, 105) > 445
    assert ampacity_a(least, 40) == ampacity_a(least, 60)


def test_a_run_as_a_traced_value() -> None:
    size = Leaf("a~b.size", Span(awg_area(4), awg_area(2)), "area")
    insulation = Leaf("a~b.insulation", Span(105.0, 105.0), "temperature")
    cool = carried(size, insulation, engine_space=False, name="a~b")
    hot = carried(size, insulation, engine_space=True, name="a~b")
    low, high = cool.domain(), hot.domain()
    assert isinstance(low, Span) and isinstance(high, Span)
    assert (low.lo, low.hi) == pytest.approx((160, 210))
    assert (high.lo, high.hi) == pytest.approx((160 * 0.85, 210 * 0.85))
    assert "183.425" in cool.source and "engine spaces" in hot.formula
