"""Where the ways of a wiring lead and what they resist, worked out by hand."""

import pytest
from punt import PARTS, TREE, copper, exact, feeders

from ringout.physics.feeders import times_a


def test_what_currents_pass_on_their_way_to_the_core_far_ends_first() -> None:
    its = feeders(TREE)
    passed = its.passed(["pump+", "fan+"])
    assert sorted(passed) == ["bars+", "fan+", "pump+", "rail+"]
    assert all(passed.index(one) < passed.index(its.reaches[one]) for one in passed if its.reaches[one] in passed)
    assert {its.root(end) for end in passed} == {"b1+"}
    assert (its.passed(["b1+"]), its.root("b1+")) == ([], "b1+")


def test_one_load_alone_sees_the_resistance_of_its_way() -> None:
    way = 2 * copper(0.5, 50) + 0.0002 + copper(1, 50) + 2 * copper(1, 2.5)
    assert exact(feeders(TREE).seen_ohm("fan+", "fan-")) == pytest.approx(way + 0.004)


def test_a_bridged_device_carries_by_both() -> None:
    its = feeders("b1+ = main = pump+ : 4 mm2, 1 m, 1 m\nb1- = pump- : 4 mm2, 2 m\nmain.in = main.out : 4 mm2, 0.1 m")
    wire = copper(0.1, 4)
    assert exact(its.ohm("pump+")) == pytest.approx(2 * copper(1, 4) + 0.0002 * wire / (0.0002 + wire))


def test_several_alike_take_several_times_as_much() -> None:
    assert times_a(3, 0.5) == 1.5


FUSED = """\
b1+ = main = bars+ : 50 mm2, 0.5 m, 0.5 m
b1- = bars- : 50 mm2, 1 m
bars+ = small = pump+ : 4 mm2, 1 m, 2 m
bars- = pump- : 4 mm2, 3 m
bars = rail : 10 mm2, 2 m
pump = lamp : 2.5 mm2, 1 m"""
SMALL = "small: {kind: fuse, rating: 100 A}"


def test_a_reach_leads_through_devices_to_where_ways_join_or_a_part_hangs() -> None:
    its = feeders(FUSED, f"{PARTS}\n{SMALL}")
    assert its.reaches == {
        "lamp+": "pump+", "lamp-": "pump-", "pump+": "bars+", "pump-": "bars-", "rail+": "bars+", "rail-": "bars-",
        "bars+": "b1+", "bars-": "b1-",
    }  # fmt: skip
    assert its.way("lamp+") == ["lamp+", "pump+", "bars+"]
    assert exact(its.ohm("pump+")) == pytest.approx(copper(1, 4) + 0.0002 + copper(2, 4))


def test_two_ends_tell_the_reach_between_them_whichever_comes_first() -> None:
    its = feeders(FUSED, f"{PARTS}\n{SMALL}")
    assert its.reach("bars+", "small.in") == its.reach("small.out", "small.in") == its.reach("small.out", "pump+")
    assert its.reach("pump+", "small.out") == "pump+"
    assert (its.reach("bars+", "pump+"), its.reach("b1+", "b1-")) == ("", "")


def test_where_two_leads_join_at_a_device_a_reach_ends() -> None:
    its = feeders("b1+ = main = pump+ : 4 mm2, 1 m, 1 m\nmain.out = lamp+ : 4 mm2, 1 m\nb1 = fan : 4 mm2, 1 m")
    assert its.reaches["pump+"] == its.reaches["lamp+"] == "main.out"
    assert its.reaches["main.out"] == "b1+"


def test_bars_are_a_place_where_more_may_hang_though_nothing_joins_there() -> None:
    its = feeders("b1 = bars : 50 mm2, 1 m\nbars = lamp : 4 mm2, 1 m")
    assert its.reaches["lamp+"] == "bars+"
    assert its.to_bars == {"bars+", "bars-"}
    on_a_pump = feeders("b1 = fan : 4 mm2, 1 m\nb1 = pump : 4 mm2, 1 m\npump = rail : 4 mm2, 1 m")
    assert on_a_pump.to_bars == {"rail+", "rail-", "pump+", "pump-"}
