"""What every conductor of a bank carries, and what is lost up to every terminal, while some consumers run.

Through a feeder all current flows one way. From the far ends inward the currents are added up; from the core
outward the volts lost are added up. The lowest and the highest of both come with it: a current grows with
every current drawn, and volts lost grow with every current and every resistance. So all are lowest when
everything beneath is low, and highest when everything is high, and two passes, all low and all high, give
every range. What is wired as a ring, and the bank itself, stays a mesh: it is solved with the sums of its
feeders as draws.

Beyond `MOST_NAMED` consumers behind one conductor, those whose current is least known are named one by one
and the others stand as one sum, so that what a number rests on can still be read.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from ringout.case.case import Hop
from ringout.physics.circuit import hop_ohm
from ringout.physics.feeders import Draw, Feeders
from ringout.physics.formulas import PLAIN, drop_v, under_load_v
from ringout.quantity.leaf import WEAK, WORKED_OUT, Leaf, Origin
from ringout.quantity.span import Span
from ringout.quantity.steady import adds, steady
from ringout.quantity.traced import Traced, Value, domain_of, formula, leaves_of

MOST_NAMED = 12


@adds
@formula("sum of what is drawn through it", dimension="current", source="Kirchhoff's current law")
def drawn_a(*currents_a: float) -> float:
    """Current (A) of a conductor: all that hangs behind it."""
    return sum(currents_a)


@formula("I of one = I · R of all side by side / R of one", dimension="current", source="Kirchhoff's laws")
def divided_a(current_a: float, own_ohm: float, *others_ohm: float) -> float:
    """Current (A) of one of several cables side by side."""
    return current_a / (1 + sum(own_ohm / each for each in others_ohm))


@adds
@formula("sum of the volts lost", dimension="voltage", source=PLAIN)
def lost_v(*each_v: float) -> float:
    """Voltage (V) lost on several stretches one behind the other."""
    return sum(each_v)


class Sum(NamedTuple):
    """What flows through one place: consumers by their place in the list, the others as one range."""

    named: tuple[int, ...] = ()
    low: float = 0.0
    high: float = 0.0
    others: int = 0


class Flow:
    """What flows where on the feeders of a bank while some consumers draw, and what is lost.

    `unplaced` is what consumers take of which nobody wrote where they hang: they may hang on any bars.
    """

    def __init__(self, feeders: Feeders, draws: Sequence[Draw], unplaced: Leaf | None = None) -> None:
        assert feeders.core is not None
        self.feeders, self.core = feeders, feeders.core
        self.draws = sorted(draws, key=_least_known)
        self.unplaced = unplaced
        self._sums = self._added_up()
        self._currents: dict[str, Value] = {}
        self._drops: dict[str, Value] = {}
        self._in_core: dict[tuple[str, str], Value] = {}
        self._lost: dict[tuple[str, str], Value] = {}
        self.taps = self._tapped()

    # -- inward: currents ------------------------------------------------------------------------------------

    def _added_up(self) -> dict[str, Sum]:
        """What flows through each reach, from the far ends inward."""
        sums: dict[str, Sum] = {}
        reaches = self.feeders.reaches
        for place, draw in enumerate(self.draws):
            for terminal in (draw.plus, draw.minus):
                if terminal in reaches:
                    sums[terminal] = self._plus(sums.get(terminal), Sum((place,)))
        for far, near in reaches.items():
            if far in sums and near in reaches:
                sums[near] = self._plus(sums.get(near), sums[far])
        return sums

    def _plus(self, one: Sum | None, other: Sum) -> Sum:
        if one is None:
            return other
        named = sorted((*one.named, *other.named))
        spans = [self.draws[place].span for place in named[MOST_NAMED:]]
        return Sum(
            tuple(named[:MOST_NAMED]),
            one.low + other.low + sum(span.lo for span in spans),
            one.high + other.high + sum(span.hi for span in spans),
            one.others + other.others + len(spans),
        )

    def _value(self, its: Sum, place: str, name: str, *, unplaced: bool) -> Value:
        values = [self.draws[place].amps for place in its.named]
        if its.others:
            path, source = f"{WORKED_OUT}{place}.others", f"sum of what {its.others} more consumers take"
            values.append(Leaf(path, Span(its.low, its.high), "current", Origin.TABLE, known=True, source=source))
        if unplaced and self.unplaced is not None:
            values.append(self.unplaced)
        return values[0] if len(values) == 1 else steady(drawn_a, *values, name=name)

    def current(self, far: str) -> Value | None:
        """Current (A) of a reach, None where nothing flows."""
        its = self._sums.get(far)
        if its is None:
            return None
        if far not in self._currents:
            bars = far in self.feeders.to_bars
            self._currents[far] = self._value(its, far, f"current through {far}", unplaced=bars)
        return self._currents[far]

    def shared(self, a: str, b: str) -> Value | None:
        """Current (A) through a device with ends a and b that several consumers share; None else, or in a ring."""
        far = self.feeders.reach(a, b)
        its = self._sums.get(far, Sum())
        more = far in self.feeders.to_bars and self.unplaced is not None
        return self.current(far) if len(its.named) + its.others + more > 1 else None

    def run_current(self, hop: Hop) -> Value | None:
        """Current (A) of one conductor, whichever way it flows; None where nothing flows."""
        far, name = self.feeders.reach(hop.a, hop.b), f"current of {hop.id}"
        if not far:
            return self.core.through(hop, self.taps, name) if hop.id in self.core.hop_branch else None
        current, cables = self.current(far), self.feeders.network.between(hop.a, hop.b)
        if current is None or len(cables) == 1:
            return current
        others, most = [each for each in cables if each is not hop], domain_of(current)
        return Traced(
            divided_a.fn,
            (current, hop_ohm(hop), *(hop_ohm(each) for each in others)),
            name=name,
            dimension=divided_a.dimension,
            formula=divided_a.formula,
            source=divided_a.source,
            widest=Span(0.0, most.hi) if isinstance(most, Span) else None,
        )

    def _tapped(self) -> list[tuple[str, str, Value]]:
        """What the feeders take from the core: the terminals they hang on, and the current."""
        sums: dict[tuple[str, str], Sum] = {}
        for place, draw in enumerate(self.draws):
            at = self.feeders.root(draw.plus), self.feeders.root(draw.minus)
            sums[at] = self._plus(sums.get(at), Sum((place,)))
        return [
            (*at, self._value(its, "~".join(at), f"current taken at {at[0]} and {at[1]}", unplaced=True))
            for at, its in sums.items()
        ]

    # -- outward: volts --------------------------------------------------------------------------------------

    def drop(self, far: str) -> Value | None:
        """Voltage (V) lost on a reach, None where nothing flows."""
        current = self.current(far)
        if current is None:
            return None
        if far not in self._drops:
            self._drops[far] = steady(drop_v, current, self.feeders.ohm(far), name=f"drop up to {far}")
        return self._drops[far]

    def lost_on_feeders(self, plus: str, minus: str) -> Value:
        """Voltage (V) lost on the feeders up to two terminals."""
        return steady(lost_v, *self._on_feeders(plus, minus), name=f"volts lost on the feeders of {plus}, {minus}")

    def lost(self, plus: str, minus: str) -> Value:
        """Voltage (V) lost up to two terminals, on their feeders and in the core."""
        if (plus, minus) not in self._lost:
            at = self.feeders.root(plus), self.feeders.root(minus)
            if at not in self._in_core:
                self._in_core[at] = self.core.lost(self.taps, at, f"volts lost between {at[0]} and {at[1]}")
            each, name = self._on_feeders(plus, minus), f"volts lost up to {plus}, {minus}"
            self._lost[plus, minus] = steady(lost_v, *each, self._in_core[at], name=name)
        return self._lost[plus, minus]

    def _on_feeders(self, plus: str, minus: str) -> list[Value]:
        """What is lost on each reach on the ways of two terminals, where anything flows."""
        drops = (self.drop(far) for end in (plus, minus) for far in self.feeders.way(end))
        return [drop for drop in drops if drop is not None]


class Beside:
    """What one consumer leaves others of the rested volts: it costs them some on reaches they share and in the core."""

    def __init__(self, feeders: Feeders, other: Draw, rested: Value) -> None:
        self.feeders, self.other, self.rested = feeders, other, rested
        self._drops = {
            far: steady(drop_v, other.amps, feeders.ohm(far), name=f"drop up to {far}")
            for end in (other.plus, other.minus)
            for far in feeders.way(end)
        }
        self._in_core: dict[tuple[str, str], Value] = {}
        self._left: dict[tuple[str, ...], Value] = {}

    def left(self, plus: str, minus: str) -> Value:
        """Voltage (V) between two terminals that the other leaves of the rested volts.

        It is one and the same for all whose ways join those of the other in one place.
        """
        at = self.feeders.root(plus), self.feeders.root(minus)
        reaches = [far for end in (plus, minus) for far in self.feeders.way(end) if far in self._drops]
        shared = (*at, *reaches)
        if shared not in self._left:
            drops, by = [self._drops[far] for far in reaches], self.other.part
            lost = steady(lost_v, *drops, self._lost_in_core(at), name=f"volts lost by {by}")
            self._left[shared] = steady(under_load_v, self.rested, lost, name=f"volts that {by} leaves", falls=(1,))
        return self._left[shared]

    def _lost_in_core(self, at: tuple[str, str]) -> Value:
        feeders, other = self.feeders, self.other
        assert feeders.core is not None
        if at not in self._in_core:
            tap = feeders.root(other.plus), feeders.root(other.minus)
            name = f"volts lost between {at[0]} and {at[1]} by {other.part}"
            self._in_core[at] = feeders.core.lost([(*tap, other.amps)], at, name)
        return self._in_core[at]


def _least_known(draw: Draw) -> tuple[bool, float, str]:
    """Order in which consumers are named: what is assumed first, then by how much is not known."""
    assumed = any(leaf.origin in WEAK for leaf in leaves_of(draw.amps))
    return not assumed, draw.span.lo - draw.span.hi, draw.part
