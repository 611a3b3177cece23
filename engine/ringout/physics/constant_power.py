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


def alone(keeper: Keeper, volts: Value, resistance: Value, rested: Value, beside: str) -> Steady:
    """Current (A) of a consumer behind a resistance (ohm), from the volts before it draws, while `beside` draws."""
    name = f"current of {keeper.part}"
    keeping = steady(alone_a, keeper.power, volts, resistance, rested, name=name, falls=(1, 3))
    if keeper.steady is None:
        return keeping
    return _amps(keeper, f"with_{beside}", divided(_span(keeper.power), _span(keeping)))


def settled(
    feeders: Feeders,
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
    passes = _Passes(feeders, draws, keepers, _span(unplaced) if unplaced is not None else Span(0.0, 0.0))
    half = Span(LEAST_LEFT * rested.lo, LEAST_LEFT * rested.hi)
    volts = [(rested.lo, rested.hi)] * len(keepers)
    for _ in range(TURNS):
        before, lost = volts, passes.lost(volts)
        volts = [(max(rested.lo - most, half.lo), max(rested.hi - least, half.hi)) for least, most in lost]
        if all(map(_alike, before, volts)):
            break
    else:
        volts = [(half.lo, high) for _, high in volts]
    return [
        Draw(keeper.part, keeper.plus, keeper.minus, _amps(keeper, "everything_on", Span(*have)))
        for keeper, have in zip(keepers, volts, strict=True)
    ]


def _amps(keeper: Keeper, when: str, have: Span) -> Steady:
    source = "settled: the volts at which it takes just the current that leaves it these volts"
    if keeper.steady is not None:
        source += "; or those of its rating, since nobody knows whether it keeps its power up"
    path = f"{WORKED_OUT}{keeper.part}.volts_{when}"
    volts = Leaf(path, keeper.volts(have), "voltage", Origin.TABLE, known=True, source=source)
    return steady(idle_a, keeper.power, volts, name=f"current of {keeper.part}", falls=(1,))


def divided(power: Span, amps: Span) -> Span:
    """The volts (V) by which a power (W) must be divided to give at least a range of currents (A), all above nought."""
    volts = power.lo / amps.lo, power.hi / amps.hi
    return Span(min(volts), max(volts))


def _hull(one: Span, other: Span) -> Span:
    return Span(min(one.lo, other.lo), max(one.hi, other.hi))


def _alike(old: tuple[float, float], new: tuple[float, float]) -> bool:
    return abs(old[0] - new[0]) <= SETTLED * new[0] and abs(old[1] - new[1]) <= SETTLED * new[1]


def _span(value: Value) -> Span:
    found = domain_of(value)
    assert isinstance(found, Span)
    return found


class _Passes:
    """Two passes over the feeders with plain numbers, the lowest and the highest of each side by side.

    Places go by number: the reaches that any current passes, far ones first; then the core; then each pair of
    terminals at which currents are taken from the core. What is drawn by others is added up once, before all rounds.
    """

    def __init__(self, feeders: Feeders, draws: Sequence[Draw], keepers: Sequence[Keeper], unplaced: Span) -> None:
        all_of_them: list[Draw | Keeper] = [*draws, *keepers]
        passed = feeders.passed(end for each in all_of_them for end in (each.plus, each.minus))
        roots = [(feeders.root(each.plus), feeders.root(each.minus)) for each in all_of_them]
        place = {far: number for number, far in enumerate(passed)}
        self._core = core = len(passed)
        self._taps = {tap: core + 1 + number for number, tap in enumerate(dict.fromkeys(roots))}
        ends = [
            (place.get(each.plus, core), place.get(each.minus, core), self._taps[tap])
            for each, tap in zip(all_of_them, roots, strict=True)
        ]
        self._least, self._most = [0.0] * (core + 1 + len(self._taps)), [0.0] * (core + 1 + len(self._taps))
        for draw, where in zip(draws, ends, strict=False):
            for here in where:
                self._least[here] += draw.span.lo
                self._most[here] += draw.span.hi
        self._ends = ends[len(draws) :]
        self._told = {tap: self._taps[tap] for tap in roots[len(draws) :]}
        self._powers = [(*_both(_span(keeper.power)), *_held(keeper)) for keeper in keepers]
        self._nearer = [place.get(feeders.reaches[far], core) for far in passed]
        led = feeders.passed(end for keeper in keepers for end in (keeper.plus, keeper.minus))
        outward = [(place[far], feeders.ohm(far)) for far in reversed(led)]
        self._outward = [(here, self._nearer[here], *_both(_span(ohm))) for here, ohm in outward]
        self._bars = [place[far] for far in feeders.to_bars if far in place]
        self._circuit, self._unplaced = feeders.core, unplaced

    def lost(self, volts: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
        """The least and the most volts lost up to each keeper when each takes its power at such volts."""
        least, most, loose = self._least.copy(), self._most.copy(), self._unplaced
        for (plus, minus, tap), (watts, most_watts, held, most_held), (low, high) in zip(
            self._ends, self._powers, volts, strict=True
        ):
            amps = watts / (high if high > most_held else most_held)
            least[plus] += amps
            least[minus] += amps
            least[tap] += amps
            amps = most_watts / (low if low < held else held)
            most[plus] += amps
            most[minus] += amps
            most[tap] += amps
        for here, nearer in enumerate(self._nearer):
            least[nearer] += least[here]
            most[nearer] += most[here]
        for here in (*self._bars, *self._taps.values()):
            least[here] += loose.lo
            most[here] += loose.hi
        within = self._in_core({tap: Span(least[here], most[here]) for tap, here in self._taps.items()})
        # From here on volts: at each place those that are lost up to it; on feeders none are up to the core.
        least[self._core] = most[self._core] = 0.0
        for here, nearer, ohm, most_ohm in self._outward:
            least[here] = least[nearer] + least[here] * ohm
            most[here] = most[nearer] + most[here] * most_ohm
        for at, here in self._told.items():
            least[here], most[here] = _both(within[at])
        return [
            (least[plus] + (least[minus] + least[tap]), most[plus] + (most[minus] + most[tap]))
            for plus, minus, tap in self._ends
        ]

    def _in_core(self, taken: Mapping[tuple[str, str], Span]) -> dict[tuple[str, str], Span]:
        """Volts lost in the core up to each pair of terminals at which a keeper hangs, by what is taken at each."""
        assert self._circuit is not None
        draws = [(*tap, Leaf("~".join(tap), amps, "current")) for tap, amps in taken.items()]
        return {at: _span(self._circuit.lost(draws, at, "volts lost in the core")) for at in self._told}


def _both(span: Span) -> tuple[float, float]:
    return span.lo, span.hi


def _held(keeper: Keeper) -> tuple[float, float]:
    """The volts that may count for its current whatever it has, from the least; none do where it keeps its power up."""
    return (math.inf, -math.inf) if keeper.steady is None else _both(keeper.steady)
