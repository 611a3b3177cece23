"""Consumers that keep their power up: closed forms, two at one time, and where they can no longer run."""

import math

import pytest

from ringout.case.load import load_text
from ringout.physics.constant_power import Keeper, alone, alone_a, rated_w, settled, share_left
from ringout.physics.feeders import Draw, Feeders
from ringout.physics.flow import Flow
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Span
from ringout.quantity.traced import Value, domain_of
from ringout.system.network import Network


def span(value: Value) -> Span:
    found = domain_of(value)
    assert isinstance(found, Span)
    return found


def leaf(path: str, low: float, high: float | None = None) -> Leaf:
    return Leaf(path, Span(low, low if high is None else high), known=True)


def feeders(dc: str) -> Feeders:
    rows = [
        "case: the warden's punt",
        "parts:",
        "  b1: {kind: battery, internal: 10..20 mohm}",
        "  bars: {kind: busbars}",
    ]
    rows += ["  cooler: {kind: dc_load}", "  screen: {kind: dc_load}", "  lamp: {kind: dc_load}", "dc:"]
    network = Network(load_text("\n".join([*rows, *(f"  - {line}" for line in dc.splitlines())]), "punt.yaml"))
    return Feeders(network, network.banks[0])


def keeper(part: str, low: float, high: float | None = None) -> Keeper:
    return Keeper(part, f"{part}+", f"{part}-", leaf(f"{part}.power", low, high))


def volts(its: Feeders, draws: list[Draw], part: str, rested: Span) -> Span:
    lost = span(Flow(its, draws).lost(f"{part}+", f"{part}-"))
    return Span(rested.lo - lost.hi, rested.hi - lost.lo)


def test_formulas_at_a_point() -> None:
    # 12 V before it draws, 0.1 ohm, 110 W: 10 A leave it 11 V.
    assert alone_a(110, 12, 0.1, 12.5) == pytest.approx(10)
    assert alone_a(110, 12, 0, 12) == pytest.approx(110 / 12)
    assert rated_w(5, 12) == 60
    assert share_left(3, 12) == 0.75


def test_the_most_that_can_pass_a_resistance_passes_at_half_the_volts() -> None:
    # Source: maximum power transfer theorem (textbook): P = U² / (4·R), half of U at the load.
    most = 12**2 / (4 * 0.1)
    assert alone_a(most, 12, 0.1, 12) == pytest.approx(60)
    # Beyond it: no state of rest; the current is taken at that half, and less than half is left.
    beyond = float(alone_a(1.2 * most, 12, 0.1, 12))
    assert beyond == pytest.approx(1.2 * most / 6)
    assert float(share_left(0.1 * beyond, 12)) < 0.5


@pytest.mark.parametrize("before", [3.0, 0.0, -5.0])
def test_what_has_less_than_half_before_it_draws_takes_no_more_than_at_half(before: float) -> None:
    assert alone_a(60, before, 0.1, 12) == pytest.approx(60 / 6)


def test_alone_is_the_closed_form_over_ranges() -> None:
    power, rested, ohm = leaf("p", 50, 60), leaf("u", 12, 13), leaf("r", 0.05, 0.1)
    found = span(alone(Keeper("cooler", "cooler+", "cooler-", power), rested, ohm, rested, "kettle"))
    assert found.lo == pytest.approx(alone_a(50, 13, 0.05, 13))
    assert found.hi == pytest.approx(alone_a(60, 12, 0.1, 12))


LEAD = """\
b1 = bars : 16 mm2, 2 m
bars = cooler : 4 mm2, 3 m
bars = screen : 2.5 mm2, 4 m
bars = lamp : 2.5 mm2, 2 m"""


def test_one_consumer_settles_where_the_closed_form_says() -> None:
    its, rested = feeders(LEAD), Span(12.4, 13.0)
    (found,) = settled(its, [], [keeper("cooler", 60, 80)], rested)
    ohm = span(its.seen_ohm("cooler+", "cooler-"))
    assert found.span.hi == pytest.approx(alone_a(80, rested.lo, ohm.hi, rested.lo), rel=1e-9)
    assert found.span.lo == pytest.approx(alone_a(60, rested.hi, ohm.lo, rested.hi), rel=1e-9)


def test_two_consumers_and_a_lamp_settle_together() -> None:
    its, rested = feeders(LEAD), Span(12.4, 13.0)
    lamp = Draw("lamp", "lamp+", "lamp-", leaf("lamp.current", 2, 4))
    draws = settled(its, [lamp], [keeper("cooler", 60, 80), keeper("screen", 40)], rested)
    assert [draw.part for draw in draws] == ["cooler", "screen"]
    for draw, power in zip(draws, (Span(60, 80), Span(40, 40)), strict=True):
        left = volts(its, [lamp, *draws], draw.part, rested)
        # At rest: the volts that all the currents leave it are those at which it takes its current.
        assert draw.span.hi == pytest.approx(power.hi / left.lo, rel=1e-9)
        assert draw.span.lo == pytest.approx(power.lo / left.hi, rel=1e-9)


def test_what_others_take_costs_it_current() -> None:
    its, rested = feeders(LEAD), Span(12.4, 12.4)
    (by_itself,) = settled(its, [], [keeper("cooler", 80)], rested)
    lamp = Draw("lamp", "lamp+", "lamp-", leaf("lamp.current", 20))
    (beside,) = settled(its, [lamp], [keeper("cooler", 80)], rested)
    assert beside.span.hi > by_itself.span.hi


def test_where_nothing_settles_it_cannot_run() -> None:
    thin = "b1 = bars : 16 mm2, 2 m\nbars = cooler : 1 mm2, 15..20 m"
    its, rested = feeders(thin), Span(12.4, 13.0)
    (found,) = settled(its, [], [keeper("cooler", 400)], rested)
    most = rested.hi**2 / (4 * span(its.seen_ohm("cooler+", "cooler-")).lo)
    assert most < 400
    assert volts(its, [found], "cooler", rested).hi < rested.hi / 2
    assert math.isfinite(found.span.hi)


def test_what_may_or_may_not_run_lies_on_both_sides_of_half() -> None:
    doubtful = "b1 = bars : 16 mm2, 2 m\nbars = cooler : 1 mm2, 1..20 m"
    its, rested = feeders(doubtful), Span(12.4, 13.0)
    (found,) = settled(its, [], [keeper("cooler", 150)], rested)
    left = volts(its, [found], "cooler", rested)
    assert left.lo < rested.lo / 2 < rested.hi / 2 < left.hi


def test_of_what_may_keep_its_current_up_instead_both_count() -> None:
    its, rested = feeders(LEAD), Span(12.4, 13.0)
    maybe = Keeper("cooler", "cooler+", "cooler-", leaf("cooler.power", 60, 80), steady=Span(12.6, 12.6))
    (found,) = settled(its, [], [maybe], rested)
    left = volts(its, [found], "cooler", rested)
    assert left.lo < 12.6 < left.hi
    assert found.span.hi == pytest.approx(80 / left.lo, rel=1e-9)
    # Below the volts of its rating even at best: by those it takes least, and costs others least.
    rested = Span(11.4, 12.0)
    low, beside = settled(its, [], [maybe, keeper("screen", 40)], rested)
    assert low.span.lo == pytest.approx(60 / 12.6, rel=1e-9)
    assert beside.span.lo == pytest.approx(40 / volts(its, [low, beside], "screen", rested).hi, rel=1e-9)
    # And above them even at worst: by those it takes most, and costs others most.
    rested = Span(14.4, 14.8)
    high, beside = settled(its, [], [maybe, keeper("screen", 40)], rested)
    assert high.span.hi == pytest.approx(80 / 12.6, rel=1e-9)
    assert beside.span.hi == pytest.approx(40 / volts(its, [high, beside], "screen", rested).lo, rel=1e-9)


def test_no_keeper_settles_nothing() -> None:
    lamp = Draw("lamp", "lamp+", "lamp-", leaf("lamp.current", 2))
    assert settled(feeders(LEAD), [lamp], [], Span(12, 13)) == []


def test_a_settled_current_says_what_it_rests_on() -> None:
    (found,) = settled(feeders(LEAD), [], [keeper("cooler", 60, 80)], Span(12.4, 13.0))
    assert not isinstance(found.amps, Leaf)
    power, left = (each for each in found.amps.leaves)
    assert (power.path, left.path) == ("cooler.power", "worked_out.cooler.volts_everything_on")
    assert left.source.startswith("settled: the volts at which")


def test_what_nobody_placed_may_pull_its_volts_down() -> None:
    its, rested = feeders(LEAD), Span(12.4, 12.4)
    (alone_there,) = settled(its, [], [keeper("cooler", 80)], rested)
    loose = leaf("b1.unplaced", 0, 30)
    (beside,) = settled(its, [], [keeper("cooler", 80)], rested, loose)
    assert beside.span.lo == pytest.approx(alone_there.span.lo)
    lost = span(Flow(its, [beside], loose).lost("cooler+", "cooler-"))
    assert beside.span.hi == pytest.approx(80 / (12.4 - lost.hi), rel=1e-9)
    assert beside.span.hi > alone_there.span.hi
