"""Currents inward, volts outward: on wirings to work out by hand, and against a solve of all there is."""

import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from punt import ALL, PARTS, TREE, copper, draw, exact, feeders, span

from ringout.physics.circuit import device_ohm, hop_ohm, internal_ohm
from ringout.physics.feeders import Draw, Feeders
from ringout.physics.flow import MOST_NAMED, Beside, Flow, divided_a, drawn_a, lost_v
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Span
from ringout.quantity.traced import Value, leaves_of


def test_formulas_at_a_point() -> None:
    assert drawn_a(8, 2, 3) == 13
    assert lost_v(0.1, 0.2) == pytest.approx(0.3)
    assert divided_a(30, 0.002, 0.004) == pytest.approx(20)
    assert divided_a(30, 0.002) == 30


def test_currents_are_added_up_inward() -> None:
    flow = Flow(feeders(TREE), ALL)
    hops = flow.feeders.network.case.hops
    currents = {id: exact(flow.run_current(hop)) for id, hop in hops.items()}
    assert currents == {
        "b1+~main": 13, "main~bars+": 13, "b1-~bars-": 13, "bars~rail": 10, "bars-~rail-": 10,
        "rail~pump": 8, "rail-~pump-": 8, "rail~lamp": 2, "rail-~lamp-": 2, "bars~fan": 3, "bars-~fan-": 3,
    }  # fmt: skip


def test_volts_lost_are_added_up_outward() -> None:
    flow = Flow(feeders(TREE), ALL)
    main = 13 * (2 * copper(0.5, 50) + 0.0002 + copper(1, 50))
    rail, pump = 10 * 2 * copper(2, 10), 8 * 2 * copper(3, 4)
    assert exact(flow.lost_on_feeders("pump+", "pump-")) == pytest.approx(main + rail + pump)
    assert exact(flow.lost("pump+", "pump-")) == pytest.approx(13 * 0.004 + main + rail + pump)


def test_what_another_takes_is_missing_by_what_both_share() -> None:
    its = feeders(TREE)
    main = 2 * copper(0.5, 50) + 0.0002 + copper(1, 50)
    beside = Beside(its, draw("pump", 8), Leaf("rested", Span(13, 13)))
    assert exact(beside.left("fan+", "fan-")) == pytest.approx(13 - 8 * (0.004 + main))
    shared = 0.004 + main + 2 * copper(2, 10)
    assert exact(beside.left("lamp+", "lamp-")) == pytest.approx(13 - 8 * shared)
    assert beside.left("lamp+", "lamp-") is beside.left("rail+", "rail-"), "what joins at one place has the same left"


def test_what_is_left_at_other_posts_of_the_bank_is_another() -> None:
    its = feeders("b1 = b2 : 16 mm2, 0.5 m\nb1 = pump : 4 mm2, 1 m\nb1 = lamp : 4 mm2, 1 m\nb2 = fan : 4 mm2, 1 m")
    beside = Beside(its, draw("pump", 8), Leaf("rested", Span(13, 13)))
    link = 2 * copper(0.5, 16)
    # Of 8 A the second battery gives what the links leave it.
    by_second = 8 * 0.004 / (0.008 + link)
    assert exact(beside.left("lamp+", "lamp-")) == pytest.approx(13 - (8 - by_second) * 0.004)
    assert exact(beside.left("fan+", "fan-")) == pytest.approx(13 - by_second * 0.004)


def test_nothing_flows_where_nothing_hangs() -> None:
    flow = Flow(feeders(TREE), [draw("fan", 3)])
    hops = flow.feeders.network.case.hops
    assert flow.run_current(hops["bars~rail"]) is None
    shared = 2 * copper(0.5, 50) + 0.0002 + copper(1, 50)
    assert exact(flow.lost_on_feeders("pump+", "pump-")) == pytest.approx(3 * shared)


def test_two_cables_side_by_side_divide_the_current() -> None:
    its = feeders("b1 = pump : 4 mm2, 3 m\nb1+ = pump+ : 2 mm2, 3 m")
    flow = Flow(its, [draw("pump", 30)])
    hops = its.network.case.hops
    thick, thin = copper(3, 4), copper(3, 2)
    assert exact(flow.run_current(hops["b1~pump"])) == pytest.approx(30 * thin / (thick + thin))
    assert exact(flow.run_current(hops["b1+~pump+"])) == pytest.approx(30 * thick / (thick + thin))
    assert exact(flow.run_current(hops["b1-~pump-"])) == 30
    assert exact(flow.lost_on_feeders("pump+", "pump-")) == pytest.approx(30 * (thick * thin / (thick + thin) + thick))


RING = """\
b1 = bars : 50 mm2, 1 m
bars+ = rail+ : 10 mm2, 2 m
bars = rail : 10 mm2, 2 m
rail+ = lamp+ : 2.5 mm2, 1 m
bars+ = lamp+ : 2.5 mm2, 3 m
rail- = lamp- : 2.5 mm2, 1 m"""


def test_a_ring_is_solved_as_a_mesh() -> None:
    its = feeders(RING)
    flow = Flow(its, [draw("lamp", 10)])
    hops = its.network.case.hops
    long, short = copper(3, 2.5), copper(2, 10) / 2 + copper(1, 2.5)
    assert exact(flow.run_current(hops["bars+~lamp+"])) == pytest.approx(10 * short / (long + short))
    assert exact(flow.run_current(hops["rail+~lamp+"])) == pytest.approx(10 * long / (long + short))
    assert exact(flow.run_current(hops["rail-~lamp-"])) == 10


# Two batteries in series; the lamp between their middle and the lower end, the fan from the upper end to it.
TAPPED = """\
b1- = b2+ : 50 mm2, 0.2 m
b2+ = rail+ : 10 mm2, 1 m
rail+ = lamp+ : 4 mm2, 1 m
b2- = lamp- : 4 mm2, 1 m
b1+ = fan+ : 4 mm2, 1 m
rail+ = fan- : 4 mm2, 1 m"""


def test_where_plus_and_minus_meet_on_one_conductor_it_is_solved_with_the_core() -> None:
    its = feeders(TAPPED, both_ways=frozenset({"rail+"}))
    flow = Flow(its, [draw("lamp", 10), draw("fan", 4)])
    assert exact(flow.run_current(its.network.case.hops["b2+~rail+"])) == pytest.approx(6)
    assert exact(flow.run_current(its.network.case.hops["rail+~lamp+"])) == 10


def test_a_conductor_of_no_bank_carries_nothing() -> None:
    its = feeders("b1 = pump\nrail = lamp")
    flow = Flow(its, [draw("pump", 1)])
    assert flow.run_current(its.network.case.hops["rail~lamp"]) is None


def test_consumers_nobody_placed_may_hang_on_any_bars() -> None:
    loose = Leaf("b1.unplaced", Span(0, 20), "current")
    flow = Flow(feeders(TREE), ALL, loose)
    hops = flow.feeders.network.case.hops
    assert span(flow.run_current(hops["rail~pump"])) == (8, 8)
    assert span(flow.run_current(hops["bars~rail"])) == (10, 30)
    assert span(flow.run_current(hops["b1+~main"])) == (13, 33)
    own, every = flow.lost_on_feeders("fan+", "fan-"), flow.lost("fan+", "fan-")
    assert span(every)[1] > span(own)[1] + 33 * 0.004 - 1e-9


# -- many consumers behind one conductor ---------------------------------------------------------------------

MANY = 40
MANY_PARTS = PARTS + "".join(f"\nl{n}: {{kind: dc_load}}" for n in range(MANY))
MANY_DC = "b1 = bars : 50 mm2, 1 m" + "".join(f"\nbars = l{n} : 2.5 mm2, 1 m" for n in range(MANY))


def test_beyond_a_dozen_the_least_known_are_named_and_the_others_stand_as_one_sum() -> None:
    draws = [draw(f"l{n}", 1, 1 + n / 10) for n in range(MANY - 1)]
    draws.append(draw(f"l{MANY - 1}", 2, 2, origin=Origin.ASSUMED))
    flow = Flow(feeders(MANY_DC, MANY_PARTS), draws)
    current = flow.run_current(flow.feeders.network.case.hops["b1~bars"])
    assert current is not None
    widths = range(MANY - 1)[-MOST_NAMED + 1 :]
    named = {f"l{n}.current" for n in widths} | {f"l{MANY - 1}.current"}
    (others,) = [leaf for leaf in leaves_of(current) if leaf.path not in named]
    assert {leaf.path for leaf in leaves_of(current)} == {*named, others.path}
    assert others.origin is Origin.TABLE and others.source == f"sum of what {MANY - MOST_NAMED} more consumers take"
    assert span(current) == pytest.approx((41, 41 + sum(n / 10 for n in range(MANY - 1))))


# -- against a solve of the whole network --------------------------------------------------------------------


def whole(its: Feeders, draws: list[Draw], point: dict[str, float]) -> tuple[dict[str, float], dict[str, float]]:
    """Currents of all conductors and volts of all terminals, by one dense solve of everything there is."""

    def at(value: Value) -> float:
        return point[value.path] if isinstance(value, Leaf) else float(value.at(point))

    case = its.network.case
    elements = [(hop.id, hop.a, hop.b, at(hop_ohm(hop))) for hop in case.hops.values()]
    elements += [("", f"{name}-", f"{name}+", at(internal_ohm(case.parts[name]))) for name in its.bank.batteries]
    for a, b, edge in its.network.graph.edges(data=True):
        if "device" in edge:
            elements.append(("", a, b, at(device_ohm(case.parts[edge["device"]]))))
    nodes = sorted({end for _, a, b, _ in elements for end in (a, b)})
    place = {node: n for n, node in enumerate(nodes)}
    matrix, currents = np.zeros((len(nodes), len(nodes))), np.zeros(len(nodes))
    for _, a, b, ohm in elements:
        for one, other in ((place[a], place[b]), (place[b], place[a])):
            matrix[one, one] += 1 / ohm
            matrix[one, other] -= 1 / ohm
    for each in draws:
        currents[place[each.plus]] -= at(each.amps)
        currents[place[each.minus]] += at(each.amps)
    volts = np.zeros(len(nodes))
    volts[1:] = np.linalg.solve(matrix[1:, 1:], currents[1:])
    flows = {id: abs(float(volts[place[a]] - volts[place[b]])) / ohm for id, a, b, ohm in elements if id}
    lost = {each.part: float(volts[place[each.minus]] - volts[place[each.plus]]) for each in draws}
    return flows, lost


def made_up(draw: random.Random) -> tuple[Feeders, list[Draw]]:
    """A wiring of one or two batteries with rails on rails, now and then a ring, and some loads."""
    parts, dc = (
        PARTS.splitlines(),
        ["b1+ = main = bars+ : 50 mm2, 0.2 m, 0.3..0.6 m", "b1- = bars- : 35..50 mm2, 1 m"],
    )
    if draw.random() < 0.5:
        dc += ["b1+ = b2+ : 16..35 mm2, 0.3 m", "b1- = b2- : 35 mm2, 0.2..0.4 m"]
    rails = ["bars"]
    for n in range(draw.randint(0, 3)):
        parts += [
            f"r{n}: {{kind: busbars}}",
            f"f{n}: {{kind: fuse, rating: {draw.choice(['60 A', '80..120 A'])}}}",
        ]
        dc.append(f"{draw.choice(rails)} = f{n} = r{n} : 10 mm2, 0.2 m, 1..3 m")
        rails.append(f"r{n}")
    if len(rails) > 2 and draw.random() < 0.4:
        dc.append(f"{rails[1]}+ = {rails[2]}+ : 6 mm2, 1 m")
    loads = [f"l{n}" for n in range(draw.randint(1, 6))]
    for name in loads:
        parts.append(f"{name}: {{kind: dc_load}}")
        dc.append(f"{draw.choice([*rails, 'b1'])} = {name} : {draw.choice(['2.5 mm2', '1.5..4 mm2'])}, 1..4 m")
    return feeders("\n".join(dc), "\n".join(parts)), [
        Draw(name, f"{name}+", f"{name}-", Leaf(f"{name}.current", Span(1, draw.choice((1, 5, 20))), "current"))
        for name in loads
    ]


@settings(max_examples=30)
@given(seed=st.integers(0, 10**6))
def test_currents_and_volts_are_those_of_the_whole_network(seed: int) -> None:
    chance = random.Random(seed)
    its, draws = made_up(chance)
    flow = Flow(its, draws)
    volts = {each.part: flow.lost(each.plus, each.minus) for each in draws}
    hops = its.network.case.hops.values()
    currents = {hop.id: current for hop in hops if (current := flow.run_current(hop)) is not None}
    devices = [device_ohm(part) for part in its.network.case.parts.values() if part.kind == "fuse"]
    values = [*volts.values(), *currents.values(), *(hop_ohm(hop) for hop in hops), *devices]
    leaves = {leaf.path: leaf for value in values for leaf in leaves_of(value)}
    for _ in range(3):
        point = {
            path: chance.choice((leaf.domain.lo, leaf.domain.hi, chance.uniform(leaf.domain.lo, leaf.domain.hi)))
            for path, leaf in leaves.items()
            if isinstance(leaf.domain, Span)
        }
        flows, lost = whole(its, draws, point)
        for id, current in currents.items():
            value = point[current.path] if isinstance(current, Leaf) else current.at(point)
            assert value == pytest.approx(flows[id], rel=1e-6, abs=1e-9)
            assert span(current)[0] - 1e-6 <= flows[id] <= span(current)[1] + 1e-6
        for part, left in volts.items():
            assert left.at(point) == pytest.approx(lost[part], rel=1e-6)
            assert span(left)[0] - 1e-9 <= lost[part] <= span(left)[1] + 1e-9
