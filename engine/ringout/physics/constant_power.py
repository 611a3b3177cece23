"""Consumers that keep their power up: the fewer volts they get, the more current they take.

More current loses more volts, which asks for more current still. Where that comes to rest, volts and current
are settled; where it does not, the consumer cannot run. At rest the consumer has at least half of the volts
that it would have without drawing; what falls below half of the rested volts of the bank is therefore counted
as not running, and its current is taken no higher than at that half.

Of many a consumer nobody knows whether it keeps its power up. Then it takes anything between the one current
and the other.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ringout.physics.feeders import Draw, Feeders
from ringout.physics.formulas import idle_a
from ringout.quantity.leaf import WORKED_OUT, Leaf, Origin
from ringout.quantity.span import Span
from ringout.quantity.steady import Steady, steady
from ringout.quantity.traced import Value, domain_of, formula

TURNS = 80
"""Most rounds of volts against current; what has not come to rest by then is counted as not running."""
SETTLED = 1e-13
"""Part of itself by which no voltage moves any more."""
LEAST_LEFT = 0.5
"""Part of the rested volts below which nothing that keeps its power up runs."""


@dataclass(frozen=True, slots=True)
class Keeper:
    """A consumer that keeps its power (W) up, between two terminals.

    `steady` are the volts at which it takes just the current that it would take if it kept up its current
    instead; None where it is known to keep its power up.
    """

    part: str
    plus: str
    minus: str
    power: Value
    steady: Span | None = None

    def volts(self, have: Span) -> Span:
        """The volts by which its power is divided for its current, from those it has when it keeps its power up."""
        return have if self.steady is None else _hull(have, self.steady)


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


def alone(keeper: Keeper, volts: Value, resistance: Value, rested: Value, case: str = "one") -> Steady:
    """Current (A) of a consumer behind a resistance (ohm), from the volts before it draws."""
    name = f"current of {keeper.part}"
    keeping = steady(alone_a, keeper.power, volts, resistance, rested, name=name, falls=(1, 3))
    if keeper.steady is None:
        return keeping
    return _amps(keeper, case, divided(_span(keeper.power), _span(keeping)))


def settled(
    feeders: Feeders,
    case: str,
    draws: Sequence[Draw],
    keepers: Sequence[Keeper],
    rested: Span,
    unplaced: Leaf | None = None,
) -> list[Draw]:
    """What keepers of power draw while others draw too: at the least and at the most that all may take.

    From the volts of a rested bank downward, so that of two states of rest the one with more volts is found.
    """
    if not keepers:
        return []
    fixed = [(draw.plus, draw.minus, draw.span) for draw in draws]
    powers = [(_span(keeper.power), keeper) for keeper in keepers]
    half = Span(LEAST_LEFT * rested.lo, LEAST_LEFT * rested.hi)
    passes = _Passes(feeders, _span(unplaced) if unplaced is not None else Span(0.0, 0.0))
    volts = [rested for _ in keepers]
    for _ in range(TURNS):
        taken = [
            (keeper.plus, keeper.minus, Span(power.lo / at.hi, power.hi / at.lo))
            for (power, keeper), have in zip(powers, volts, strict=True)
            for at in [keeper.volts(have)]
        ]
        before, lost = volts, passes.lost([*fixed, *taken], [(keeper.plus, keeper.minus) for keeper in keepers])
        volts = [Span(max(rested.lo - high, half.lo), max(rested.hi - low, half.hi)) for low, high in lost]
        if all(_alike(old, new) for old, new in zip(before, volts, strict=True)):
            break
    else:
        volts = [Span(half.lo, have.hi) for have in volts]
    return [
        Draw(keeper.part, keeper.plus, keeper.minus, _amps(keeper, case, have))
        for keeper, have in zip(keepers, volts, strict=True)
    ]


def _amps(keeper: Keeper, case: str, have: Span) -> Steady:
    source = "settled: the volts at which it takes just the current that leaves it these volts"
    if keeper.steady is not None:
        source += "; or those of its rating, since nobody knows whether it keeps its power up"
    path = f"{WORKED_OUT}{keeper.part}.volts_{case}"
    volts = Leaf(path, keeper.volts(have), "voltage", Origin.TABLE, known=True, source=source)
    return steady(idle_a, keeper.power, volts, name=f"current of {keeper.part}", falls=(1,))


def divided(power: Span, amps: Span) -> Span:
    """The volts (V) by which a power (W) must be divided to give at least a range of currents (A), all above nought."""
    return _hull(*(Span(volts, volts) for volts in (power.lo / amps.lo, power.hi / amps.hi)))


def _hull(one: Span, other: Span) -> Span:
    return Span(min(one.lo, other.lo), max(one.hi, other.hi))


def _alike(old: Span, new: Span) -> bool:
    return abs(old.lo - new.lo) <= SETTLED * new.lo and abs(old.hi - new.hi) <= SETTLED * new.hi


def _span(value: Value) -> Span:
    found = domain_of(value)
    assert isinstance(found, Span)
    return found


class _Passes:
    """Two passes over the feeders with plain numbers, the lowest and the highest of each side by side."""

    def __init__(self, feeders: Feeders, unplaced: Span) -> None:
        self.feeders, self.unplaced = feeders, unplaced
        ohms = ((terminal, nearer, _span(feeders.ohm(terminal))) for terminal, nearer in feeders.inward.items())
        self.stretches = [(terminal, nearer, ohm.lo, ohm.hi) for terminal, nearer, ohm in ohms]

    def lost(
        self, taken: Sequence[tuple[str, str, Span]], ends: Sequence[tuple[str, str]]
    ) -> list[tuple[float, float]]:
        """Volts lost up to pairs of terminals when currents (A) are taken between others."""
        flow: dict[str, tuple[float, float]] = {}
        taps: dict[tuple[str, str], tuple[float, float]] = {}
        for plus, minus, span in taken:
            its, at = (span.lo, span.hi), (self.feeders.root(plus), self.feeders.root(minus))
            flow[plus], flow[minus] = _sum(flow.get(plus), its), _sum(flow.get(minus), its)
            taps[at] = _sum(taps.get(at), its)
        for terminal, nearer, _, _ in self.stretches:
            if terminal in flow:
                flow[nearer] = _sum(flow.get(nearer), flow[terminal])
        loose = (self.unplaced.lo, self.unplaced.hi)
        for terminal in self.feeders.to_bars & flow.keys():
            flow[terminal] = _sum(flow[terminal], loose)
        drops: dict[str, tuple[float, float]] = {}
        for terminal, nearer, low, high in reversed(self.stretches):
            if terminal in flow:
                least, most = flow[terminal]
                drops[terminal] = _sum(drops.get(nearer), (least * low, most * high))
        core = {at: self._in_core({at: _sum(its, loose) for at, its in taps.items()}, at) for at in taps}
        roots = [(self.feeders.root(plus), self.feeders.root(minus)) for plus, minus in ends]
        return [
            _sum(drops.get(plus), _sum(drops.get(minus), core[at]))
            for (plus, minus), at in zip(ends, roots, strict=True)
        ]

    def _in_core(self, taps: Mapping[tuple[str, str], tuple[float, float]], at: tuple[str, str]) -> tuple[float, float]:
        assert self.feeders.core is not None
        draws = [(*tap, Leaf("~".join(tap), Span(*its), "current")) for tap, its in taps.items()]
        found = _span(self.feeders.core.lost(draws, at, "volts lost in the core"))
        return found.lo, found.hi


def _sum(one: tuple[float, float] | None, other: tuple[float, float]) -> tuple[float, float]:
    return other if one is None else (one[0] + other[0], one[1] + other[1])
