"""Each formula at a point worked out by hand, and that it is monotone in each number."""

import itertools
import math
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringout.physics import formulas as f
from ringout.quantity.traced import Formula
from ringout.quantity.unit import DIMENSIONS

POINTS: list[tuple[Formula, Sequence[float | str], float]] = [
    (f.copper_ohm_mm2_m, (20, 1.2, 0.017241, 0.00393), 1.2 * 0.017241),
    # at 60 C 15.72 % more than at 20 C
    (f.copper_ohm_mm2_m, (60, 1.0, 0.017241, 0.00393), 0.0199513),
    # 2 m of 35 mm2 between two lugs: 0.017241 * 2 / 35 + 2 * 0.0001
    (f.conductor_ohm, (0.017241, 2, 35, 0.0001), 0.00118520),
    (f.typical_internal_ohm, (0.004, 200, 24), 0.004),
    (f.series_ohm, (0.001, 0.002, 0.003), 0.006),
    (f.parallel_ohm, (0.002, 0.002), 0.001),
    (f.contacts_ohm, (100, 0.0002, 0.004), 0.0002),
    (f.contacts_ohm, (99, 0.0002, 0.004), 0.004),
    (f.drop_v, (40, 0.01), 0.4),
    (f.drop_share, (0.36, 12), 0.03),
    (f.inverter_input_a, (2000, 12.5, 0.8), 200),
    (f.loop_net_a, (40, 12, 0.8, 0.9, 24), 40 * (1 / 0.72 - 1) + 2),
    (f.loop_out_a, (36, 12, 0.8, 0.9, 24), 52),
    (f.heat_w, (13, 10), 130),
    (f.usable_ah, (200, 0.5), 100),
    (f.idle_a, (24, 12), 2),
    (f.times_w, (2, 200), 400),
    (f.times, (3, 120), 360),
    (f.total, (100, 200), 300),
    (f.strings_of, (4, 12, 24), 2),
    (f.size_ratio, (25, 50), 0.5),
    (f.total_length_m, (0.2, 0.5), 0.7),
    (f.hours_to_flat_s, (100, 10), 36000),
    (f.hours_to_flat_s, (100, 0), math.inf),
    (f.hours_to_flat_s, (100, -2), math.inf),
    (f.charge_taken_ah, (2, 12 * 3600), 24),
    (f.total_w, (800, 1200), 2000),
    (f.counted_w, (800, "yes", "yes"), 800),
    (f.counted_w, (800, "yes", "no"), 0),
    (f.counted_w, (800, "no", "yes"), 0),
    (f.controller_output_a, (1200, 26.7), 44.943820),
    (f.against_equal, (0.5, 2), 1),
    (f.per_capacity, (40, 200), 0.2),
    (f.against_rating, (44, 40), 1.1),
    (f.at_12v, (28.8, 24), 14.4),
    (f.from_12v, (14.4, 48), 57.6),
    (f.under_load_v, (12.6, 1.1), 11.5),
    (f.sum_a, (40, 60), 100),
    (f.bank_ohm, (0.004, 2, 4), 0.002),
    (f.fault_a, (12, 0.002, 0.002, 2.0), 2000),
    # three panels of 40 V at 5 C, -0.3 % a kelvin: 6 % above
    (f.string_v, (3, 40, -0.003, 5), 127.2),
    (f.cold_v, (52.32, 1.025), 53.628),
    (f.cold_v, (127.2, 1.025), 130.38),
    (f.volt_class_v, (12.8,), 12),
    (f.volt_class_v, (25.6,), 24),
    (f.volt_class_v, (51.2,), 48),
    (f.volt_class_v, (36,), 36),
    (f.volt_class_v, (6,), 6),
    (f.at_12v, (14.2, 12), 14.2),
    (f.string_a, (2, 9), 18),
    (f.against_capacity, (120, 240), 0.5),
    (f.charge_total_a, (30, 40, 27.8), 97.8),
    (f.discharge_total_a, (110, 60.5), 170.5),
    (f.counted_a, (30, "yes"), 30),
    (f.counted_a, (30, "no"), 0),
    (f.start_w, (12, 230), 2760),
    # a loop on 24 V: 18 A at 27.0 V given back, 25.4 V going in, 0.92 * 0.92 and 20 W idle
    (f.explained_a, (18, 27.0, 25.4, 0.92, 0.92, 20), 18 * 27.0 / (25.4 * 0.8464) + 20 / 25.4),
    (f.net_a, (31, 18), 13),
    (f.unexplained_w, (3, 25.4), 76.2),
    (f.part_of_sum, (141, 141, 39), 0.78333333),
]


@pytest.mark.parametrize(
    ("formula", "inputs", "expected"), POINTS, ids=lambda each: getattr(each, "__name__", "")
)
def test_the_formula_at_a_point(formula: Formula, inputs: Sequence[float | str], expected: float) -> None:
    assert formula(*inputs) == pytest.approx(expected, rel=1e-5)


def declared() -> list[Formula]:
    return [each for each in vars(f).values() if isinstance(each, Formula)]


@pytest.mark.parametrize("formula", declared(), ids=lambda each: each.__name__)
def test_a_formula_shows_its_text_its_dimension_and_its_source(formula: Formula) -> None:
    assert formula.formula and formula.source and formula.__doc__
    assert formula.dimension in (*DIMENSIONS, "count", "")


def test_a_point_is_worked_out_for_every_formula() -> None:
    worked = {formula.__name__ for formula, _, _ in POINTS}
    assert [each.__name__ for each in declared() if each.__name__ not in worked] == []


@given(data=st.data())
@settings(max_examples=1000)
def test_a_formula_is_monotone_in_each_number(data: st.DataObject) -> None:
    """Where it is not, the ends of a range are not found at the ends of its inputs."""
    formula, inputs, _ = data.draw(st.sampled_from(POINTS))
    place = data.draw(st.sampled_from([n for n, each in enumerate(inputs) if not isinstance(each, str)]))
    factors = sorted(data.draw(st.lists(st.floats(0.05, 20), min_size=3, max_size=3)))
    tried = [(*inputs[:place], float(inputs[place]) * factor, *inputs[place + 1 :]) for factor in factors]
    results = [float(formula(*each)) for each in tried]
    slack = 1e-9 * max([abs(each) for each in results if math.isfinite(each)], default=0.0)
    rising = all(a <= b + slack for a, b in itertools.pairwise(results))
    falling = all(a >= b - slack for a, b in itertools.pairwise(results))
    assert rising or falling, (formula.__name__, results)


def test_a_part_of_currents_that_come_to_nothing_is_without_end() -> None:
    assert f.part_of_sum(30, 30, 90) == 0.25
    assert (f.part_of_sum(62, 62, -62), f.part_of_sum(-62, 62, -62)) == (math.inf, -math.inf)
