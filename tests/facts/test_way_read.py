"""The resistance of a lead as it was read, beside what its sizes and lengths make it."""

import pytest

from ringout.case.load import load_text
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Span
from ringout.quantity.traced import domain_of, leaves_of

PARTS = """\
case: the ruff barge
dc_volts: 12 V
parts:
  b1: {kind: battery, nominal: 12 V, capacity: 200 Ah}
  bars: {kind: busbars}
  fridge: {kind: compressor_fridge, current: 10 A (label)}
  fan: {kind: dc_load, current: 2 A (label)}
"""
# By its sizes the lead of the fridge, 2 x 6 m of 6 mm2 with four lugs, is 34 to 49 mohm.
ALONE = "dc:\n  - b1 = fridge : 6 mm2, 6 m\n  - b1 = fan : 1.5 mm2, 2 m\n"
SHARED = "dc:\n  - b1 = bars : 16 mm2, 1 m\n  - bars = fridge : 6 mm2, 5 m\n  - bars = fan : 1.5 mm2, 2 m\n"
DROP = "  lost: {what: drop, value: 0.5 V, of: fridge, set: run}\n"
LOST_AGAIN = "  lost2: {what: drop, value: 0.5 V, repeats: lost}\n"
AMPS = "  amps: {what: current, value: 5 A, of: fridge, set: run}\n"
AMPS_AGAIN = "  amps2: {what: current, value: 5 A, repeats: amps}\n"
ALL = DROP + LOST_AGAIN + AMPS + AMPS_AGAIN


def lead(dc: str, readings: str, parts: str = PARTS) -> Fact:
    made = {fact.id: fact for fact in gather(load_text(f"{parts}{dc}readings:\n{readings}", "barge.yaml"))}
    return made["lead(fridge, b1)"]


def ends(fact: Fact, name: str) -> tuple[float, float]:
    domain = domain_of(fact.values[name])
    assert isinstance(domain, Span)
    return domain.lo, domain.hi


def test_volts_over_amperes_are_the_resistance_and_the_loss_goes_by_it() -> None:
    its = lead(ALONE, ALL)
    # 0.5 V at 5 A are 100 mohm, and at the 10 A of the label 1 V (Ohm's law)
    assert ends(its, "resistance") == pytest.approx((0.1, 0.1))
    assert ends(its, "drop") == pytest.approx((1.0, 1.0))
    assert ends(its, "drop_share") == pytest.approx((1 / 12, 1 / 12))


def test_minus_for_what_goes_out_changes_nothing() -> None:
    rows = ALL.replace("value: 5 A", "value: -5 A")
    assert ends(lead(ALONE, rows), "resistance") == pytest.approx((0.1, 0.1))
    assert ends(lead(ALONE, ALL.replace("0.5 V", "-0.5 V")), "resistance") == pytest.approx((0.1, 0.1))


def test_a_current_clamped_once_is_as_good_as_its_clamp() -> None:
    assert ends(lead(ALONE, DROP + LOST_AGAIN + AMPS), "resistance") == pytest.approx((0.1 / 1.1, 0.1 / 0.9))
    stated = AMPS.replace("set: run", "set: run, within: 2 %")
    assert ends(lead(ALONE, DROP + LOST_AGAIN + stated), "resistance") == pytest.approx((0.1 / 1.02, 0.1 / 0.98))


@pytest.mark.parametrize(
    "rows",
    [
        DROP + AMPS + AMPS_AGAIN,  # a drop read once
        DROP + LOST_AGAIN,  # no current
        ALL.replace("of: fridge, set: run}\n  amps2", "of: fridge, set: later}\n  amps2"),
        ALL.replace(", set: run", ""),
        ALL.replace("value: 5 A, of: fridge", "value: 5 A, of: fan"),
        ALL.replace("value: 0.5 V, of: fridge", "value: 0.5 V, of: fridge, points: lug fuse"),
        ALL.replace("5 A, repeats", "9 A, repeats"),
        ALL.replace("5 A", "-1..1 A"),
        ALL.replace("0.5 V", "-0.1..0.1 V"),
    ],
    ids=["once", "no current", "two sets", "no set", "of another", "a piece", "current in doubt", "no flow", "no drop"],
)
def test_else_sizes_and_lengths_count(rows: str) -> None:
    by_size = ends(lead(ALONE, ALL.replace("drop", "voltage")), "resistance")
    assert by_size == pytest.approx((0.0340, 0.0491), abs=0.0005)
    assert ends(lead(ALONE, rows), "resistance") == by_size


def test_what_others_may_have_carried_in_shared_pieces_is_left_open() -> None:
    its = lead(SHARED, ALL)
    low, high = ends(its, "resistance")
    # 2 m of 16 mm2 are about 2.8 mohm with lugs, and the fan takes 2 A: 6 mV either way, a little more at most
    assert 0.098 < low < 0.0995 and 0.1005 < high < 0.102
    beside = next(leaf for leaf in leaves_of(its.values["resistance"]) if leaf.path == "worked_out.fridge.beside")
    assert isinstance(beside, Leaf) and beside.domain == Span(-2.0, 2.0) and "fan" in beside.source


def test_where_others_may_carry_anything_sizes_count() -> None:
    by_size = ends(lead(SHARED, ALL.replace("drop", "voltage")), "resistance")
    for other in ("  fan: {kind: dc_load}\n", "  fan: {kind: dc_outlet}\n"):
        parts = PARTS.replace("  fan: {kind: dc_load, current: 2 A (label)}\n", other)
        assert ends(lead(SHARED, ALL, parts), "resistance") == by_size


def test_a_load_that_nobody_drew_may_hang_on_any_piece() -> None:
    loose = PARTS + "  mast: {kind: dc_load, current: 3 A (label)}\n"
    low, high = ends(lead(ALONE, ALL, loose), "resistance")
    assert low < 0.08 and high > 0.12


def test_a_reading_that_tells_less_than_the_sizes_stands_back() -> None:
    by_size = ends(lead(ALONE, ALL.replace("drop", "voltage")), "resistance")
    wide = ALL.replace("value: 0.5 V", "value: 0.1..0.5 V")
    assert ends(lead(ALONE, wide), "resistance") == by_size


def test_where_others_may_have_hidden_all_of_the_loss_sizes_count() -> None:
    """60 A of another the other way lose more in the shared pieces than was read."""
    fan = PARTS.replace("current: 2 A", "current: 60 A")
    thick = SHARED.replace("6 mm2, 5 m", "1 mm2, 5 m")
    by_size = ends(lead(thick, ALL.replace("drop", "voltage"), fan), "resistance")
    assert ends(lead(thick, ALL.replace("0.5 V", "0.1 V"), fan), "resistance") == by_size
