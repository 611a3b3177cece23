"""Consumers that keep their power up: the fewer volts they get, the more current they take.

More current loses more volts, which asks for more current still. Where that comes to rest, volts and current
are settled; where it does not, the consumer cannot run. At rest the consumer has at least half of the volts
that it would have without drawing; what falls below half of the rested volts of the bank is therefore counted
as not running, and its current is taken no higher than at that half.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ringout.physics.feeders import Draw, Feeders
from ringout.physics.formulas import idle_a
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Span
from ringout.quantity.steady import Steady, steady
from ringout.quantity.traced import Value, domain_of, formula

TURNS = 80
"""Most rounds of volts against current; what has not come to rest by then is counted as not running."""
SETTLED = 1e-13
"""Part of itself by which no voltage moves any more."""
LEAST_LEFT = 0.5
"""Part of the rested volts below which nothing that keeps its power up runs."""

Taken = Sequence[tuple[str, str, Span]]


@dataclass(frozen=True, slots=True)
class Keeper:
    """A consumer that keeps its power (W) up, between two terminals."""

    part: str
    plus: str
    minus: str
    power: Value


@formula(
    "I = 2·P / (U + √(U² - 4·P·R)), no more than at half of the rested volts",
    dimension="current",
    source="P = I · (U - I · R), solved for the smaller current",
)
def alone_a(power_w: float, volts: float, resistance_ohm: float, rested_v: float) -> float:
    """Current (A) of a consumer that keeps its power up behind a resistance, `volts` before it draws."""
    root = math.sqrt(max(volts**2 - 4 * power_w * resistance_ohm, 0.0))
    # The larger of two that both only grow with the volts: still steady.
    return 2 * power_w / max(volts + root if volts > 0 else 0.0, rested_v)


@formula("P = I · U_nominal", dimension="power", source="a rated current is that at nominal volts")
def rated_w(current_a: float, nominal_v: float) -> float:
    """Power (W) of a consumer by its rated current."""
    return current_a * nominal_v


@formula("left = 1 - ΔU / U_rested", dimension="ratio", source="plain arithmetic")
def share_left(lost_v: float, rested_v: float) -> float:
    """Volts left at a consumer as a part of the rested volts; below a half what keeps its power up cannot run."""
    return 1 - lost_v / rested_v


def alone(keeper: Keeper, volts: Value, resistance: Value, rested: Value) -> Steady:
    """Current (A) of a consumer behind a resistance (ohm), from the volts before it draws."""
    name = f"current of {keeper.part}"
    return steady(alone_a, keeper.power, volts, resistance, rested, name=name, falls=(1, 3))


def settled(
    feeders: Feeders, case: str, draws: Sequence[Draw], keepers: Sequence[Keeper], rested: Span
) -> list[Draw]:
    """What keepers of power draw while others draw too: at the least and at the most that all may take.

    From the volts of a rested bank downward, so that of two states of rest the one with more volts is found.
    """
    fixed = [(draw.plus, draw.minus, draw.span) for draw in draws]
    powers = [domain_of(keeper.power) for keeper in keepers]
    half = Span(LEAST_LEFT * rested.lo, LEAST_LEFT * rested.hi)
    volts = [rested for _ in keepers]
    moving = bool(keepers)
    for _ in range(TURNS if keepers else 0):
        taken = [
            (keeper.plus, keeper.minus, Span(power.lo / have.hi, power.hi / have.lo))
            for keeper, power, have in zip(keepers, powers, volts, strict=True)
            if isinstance(power, Span)
        ]
        lost = _lost(feeders, [*fixed, *taken], [(keeper.plus, keeper.minus) for keeper in keepers])
        now = [Span(max(rested.lo - v.hi, half.lo), max(rested.hi - v.lo, half.hi)) for v in lost]
        moving = any(
            abs(a - b) > SETTLED * b
            for old, new in zip(volts, now, strict=True)
            for a, b in ((old.lo, new.lo), (old.hi, new.hi))
        )
        volts = now
        if not moving:
            break
    if moving:
        volts = [Span(half.lo, have.hi) for have in volts]
    source = "settled: the volts at which it takes just the current that leaves it these volts"
    return [
        Draw(
            keeper.part,
            keeper.plus,
            keeper.minus,
            steady(
                idle_a,
                keeper.power,
                Leaf(f"{keeper.part}.volts_{case}", have, "voltage", Origin.TABLE, known=True, source=source),
                name=f"current of {keeper.part}",
                falls=(1,),
            ),
        )
        for keeper, have in zip(keepers, volts, strict=True)
    ]


def _lost(feeders: Feeders, taken: Taken, ends: Sequence[tuple[str, str]]) -> list[Span]:
    """Volts lost up to pairs of terminals: two passes over the feeders, the core solved between them."""
    inward, core = feeders.inward, feeders.core
    assert core is not None
    flow: dict[str, Span] = {}
    taps: dict[tuple[str, str], Span] = {}
    for plus, minus, span in taken:
        for terminal in (plus, minus):
            flow[terminal] = _both(flow.get(terminal), span)
        at = feeders.root(plus), feeders.root(minus)
        taps[at] = _both(taps.get(at), span)
    for terminal, nearer in inward.items():
        if terminal in flow:
            flow[nearer] = _both(flow.get(nearer), flow[terminal])
    drops: dict[str, Span] = {}
    for terminal in reversed(inward):
        ohm, before = domain_of(feeders.ohm(terminal)), drops.get(inward[terminal])
        assert isinstance(ohm, Span)
        if terminal in flow:
            drops[terminal] = _both(before, Span(flow[terminal].lo * ohm.lo, flow[terminal].hi * ohm.hi))
    draws = [(*at, Leaf(f"{at[0]}~{at[1]}", span, "current")) for at, span in taps.items()]
    lost: dict[tuple[str, str], Span] = {}
    found = []
    for plus, minus in ends:
        at = feeders.root(plus), feeders.root(minus)
        if at not in lost:
            core_lost = core.lost(draws, at, "lost").domain()
            assert isinstance(core_lost, Span)
            lost[at] = core_lost
        found.append(_both(_both(drops.get(plus), drops.get(minus)), lost[at]))
    return found


def _both(one: Span | None, other: Span | None) -> Span:
    one, other = one or Span(0.0, 0.0), other or Span(0.0, 0.0)
    return Span(one.lo + other.lo, one.hi + other.hi)
