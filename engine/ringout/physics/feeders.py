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

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from ringout.case.case import Hop
from ringout.physics.circuit import Circuit, cables_ohm, circuit, device_ohm, hop_ohm
from ringout.physics.formulas import PLAIN, drop_v, parallel_ohm, series_ohm
from ringout.quantity.leaf import WEAK, WORKED_OUT, Leaf, Origin
from ringout.quantity.span import Span
from ringout.quantity.steady import steady
from ringout.quantity.traced import Traced, Value, domain_of, formula, leaves_of
from ringout.system.banks import Bank
from ringout.system.network import Network

MOST_NAMED = 12


@formula("sum of what is drawn through it", dimension="current", source="Kirchhoff's current law")
def drawn_a(*currents_a: float) -> float:
    """Current (A) of a conductor: all that hangs behind it."""
    return sum(currents_a)


@formula("n · I", dimension="current", source=PLAIN)
def times_a(count: float, each_a: float) -> float:
    """Current (A) of several alike."""
    return count * each_a


@formula("I of one = I · R of all side by side / R of one", dimension="current", source="Kirchhoff's laws")
def divided_a(current_a: float, own_ohm: float, *others_ohm: float) -> float:
    """Current (A) of one of several cables side by side."""
    return current_a / (1 + sum(own_ohm / each for each in others_ohm))


@formula("sum of the volts lost", dimension="voltage", source=PLAIN)
def lost_v(*each_v: float) -> float:
    """Voltage (V) lost on several stretches one behind the other."""
    return sum(each_v)


@dataclass(frozen=True, slots=True)
class Draw:
    """A current (A) that a part takes, between the terminal where it flows in and that where it flows out."""

    part: str
    plus: str
    minus: str
    amps: Value

    @property
    def span(self) -> Span:
        """The least and the most it takes."""
        found = domain_of(self.amps)
        assert isinstance(found, Span)
        return found


class Sum(NamedTuple):
    """What flows through one place: consumers by their place in the list, the others as one range."""

    named: tuple[int, ...] = ()
    low: float = 0.0
    high: float = 0.0
    others: int = 0


@dataclass
class Feeders:
    """The feeders of one bank and its core, with their resistances. `core` None: the bank is not drawn as
    joined.

    Conductors in which what some consumers take meets what others give back (a bank tapped in its middle)
    have no one way of flow; `both_ways` names terminals behind such a conductor, and it is counted to the
    core.
    """

    network: Network
    bank: Bank
    both_ways: frozenset[str] = frozenset()
    core: Circuit | None = field(init=False)
    inward: dict[str, str] = field(init=False)
    _ohm: dict[str, Value] = field(init=False, default_factory=dict)
    _core_ohm: dict[tuple[str, str], Value] = field(init=False, default_factory=dict)
    _seen: dict[tuple[str, str], tuple[Value, Value]] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        layout = self.network.layout(self.bank)
        self.core = circuit(self.network, self.bank, self.both_ways, equal=False)
        meshed = {each for terminal in self.both_ways for each in layout.feeder(terminal)}
        self.inward = {end: near for end, near in layout.inward.items() if end not in meshed}

    def root(self, terminal: str) -> str:
        """The terminal of the core on which a terminal hangs; itself where it is of the core."""
        return self._roots.get(terminal, terminal)

    @cached_property
    def _roots(self) -> dict[str, str]:
        roots: dict[str, str] = {}
        for terminal, nearer in reversed(self.inward.items()):
            roots[terminal] = roots.get(nearer, nearer)
        return roots

    def passed(self, terminals: Iterable[str]) -> list[str]:
        """The terminals of feeders on the ways from some to the core, far ends first."""
        found: set[str] = set()
        for terminal in terminals:
            while terminal in self.inward and terminal not in found:
                found.add(terminal)
                terminal = self.inward[terminal]
        return [terminal for terminal in self.inward if terminal in found]

    def cables(self, terminal: str) -> list[Hop]:
        """The conductors between a terminal and the next one nearer the core."""
        return self.network.between(terminal, self.inward[terminal])

    def ohm(self, terminal: str) -> Value:
        """Resistance (ohm) between a terminal and the next one nearer the core."""
        if terminal not in self._ohm:
            hops = self.cables(terminal)
            device = self.network.device(terminal, self.inward[terminal])
            each: list[Value] = [cables_ohm(hops)] if hops else []
            each += [device_ohm(self.network.case.parts[device])] if device else []
            made = each[0] if len(each) == 1 else steady(parallel_ohm, *each, name=f"{device} and what bridges it")
            self._ohm[terminal] = made
        return self._ohm[terminal]

    def stretches(self, terminal: str) -> list[str]:
        """The terminals on the way from one to the core, each standing for the stretch that begins there."""
        found = []
        while terminal in self.inward:
            found.append(terminal)
            terminal = self.inward[terminal]
        return found

    @cached_property
    def to_bars(self) -> frozenset[str]:
        """The terminals of feeders at bars or on the way to some, where more may hang than is written."""
        parts = self.network.case.parts
        found = {end for end in self.inward if parts[end.rstrip("+-").split(".")[0]].acts_as("bars")}
        for terminal, nearer in self.inward.items():
            if terminal in found and nearer in self.inward:
                found.add(nearer)
        return frozenset(found)

    def seen_ohm(self, plus: str, minus: str) -> tuple[Value, Value]:
        """Resistance (ohm) that a consumer at two terminals sees: of its feeders, and with the core."""
        assert self.core is not None
        if (plus, minus) not in self._seen:
            each = [self.ohm(terminal) for end in (plus, minus) for terminal in self.stretches(end)]
            at = self.root(plus), self.root(minus)
            if at not in self._core_ohm:
                self._core_ohm[at] = self.core.seen(at, f"resistance behind {at[0]} and {at[1]}")
            feeders = steady(series_ohm, *each, name=f"feeders of {plus}, {minus}")
            name = f"all resistance up to {plus}, {minus}"
            self._seen[plus, minus] = feeders, steady(series_ohm, feeders, self._core_ohm[at], name=name)
        return self._seen[plus, minus]


class Beside:
    """What the current of one consumer costs others in volts, on the stretches that they share and in the core."""

    def __init__(self, feeders: Feeders, other: Draw) -> None:
        self.feeders, self.other = feeders, other
        stretches = [*feeders.stretches(other.plus), *feeders.stretches(other.minus)]
        self._drops = {
            end: steady(drop_v, other.amps, feeders.ohm(end), name=f"drop up to {end}") for end in stretches
        }
        self._in_core: dict[tuple[str, str], Value] = {}
        self._lost: dict[tuple[str, ...], Value] = {}

    def lost(self, plus: str, minus: str) -> Value:
        """Voltage (V) that is missing at two terminals because of what the other takes.

        It is one and the same for all whose ways join those of the other in one place.
        """
        at = self.feeders.root(plus), self.feeders.root(minus)
        ends = [end for each in (plus, minus) for end in self.feeders.stretches(each) if end in self._drops]
        shared = (*at, *ends)
        if shared not in self._lost:
            drops = [self._drops[end] for end in ends]
            self._lost[shared] = steady(lost_v, *drops, self._lost_in_core(at), name=f"volts lost by {self.other.part}")
        return self._lost[shared]

    def _lost_in_core(self, at: tuple[str, str]) -> Value:
        feeders, other = self.feeders, self.other
        assert feeders.core is not None
        if at not in self._in_core:
            tap = feeders.root(other.plus), feeders.root(other.minus)
            name = f"volts lost between {at[0]} and {at[1]} by {other.part}"
            self._in_core[at] = feeders.core.lost([(*tap, other.amps)], at, name)
        return self._in_core[at]


class Flow:
    """One load case on the feeders of a bank: what flows where, and what is lost.

    `unplaced` is what consumers take of which nobody wrote where they hang: they may hang on any bars.
    """

    def __init__(self, feeders: Feeders, case: str, draws: Sequence[Draw], unplaced: Leaf | None = None) -> None:
        assert feeders.core is not None
        self.feeders, self.case, self.core = feeders, case, feeders.core
        self.draws = sorted(draws, key=_least_known)
        self.unplaced = unplaced
        self._sums = self._added_up()
        self._currents: dict[str, Value] = {}
        self._drops: dict[str, Value] = {}
        self._in_core: dict[tuple[str, str], Value] = {}
        self._lost: dict[tuple[str, str], tuple[Value, Value]] = {}
        self.taps = self._tapped()

    # -- inward: currents ------------------------------------------------------------------------------------

    def _added_up(self) -> dict[str, Sum]:
        """What flows through each terminal of a feeder, from the far ends inward."""
        sums: dict[str, Sum] = {}
        for place, draw in enumerate(self.draws):
            for terminal in (draw.plus, draw.minus):
                if terminal in self.feeders.inward:
                    sums[terminal] = self._plus(sums.get(terminal), Sum((place,)))
        for terminal, nearer in self.feeders.inward.items():
            if terminal in sums and nearer in self.feeders.inward:
                sums[nearer] = self._plus(sums.get(nearer), sums[terminal])
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
            path, source = f"{WORKED_OUT}{place}.others_{self.case}", f"sum of what {its.others} more consumers take"
            values.append(Leaf(path, Span(its.low, its.high), "current", Origin.TABLE, known=True, source=source))
        if unplaced and self.unplaced is not None:
            values.append(self.unplaced)
        return values[0] if len(values) == 1 else steady(drawn_a, *values, name=name)

    def current(self, terminal: str) -> Value | None:
        """Current (A) between a terminal and the next one nearer the core, None where nothing flows."""
        its = self._sums.get(terminal)
        if its is None:
            return None
        if terminal not in self._currents:
            name = f"current through {terminal}"
            bars = terminal in self.feeders.to_bars
            self._currents[terminal] = self._value(its, terminal, name, unplaced=bars)
        return self._currents[terminal]

    def _outer(self, a: str, b: str) -> str | None:
        """Of two neighbours the one farther from the core; None where the stretch between them is of the core."""
        inward = self.feeders.inward
        return a if inward.get(a) == b else b if inward.get(b) == a else None

    def shared(self, a: str, b: str) -> Value | None:
        """Current (A) through a device with ends a and b that several consumers share; None else, or in a ring."""
        outer = self._outer(a, b) or ""
        its = self._sums.get(outer, Sum())
        more = outer in self.feeders.to_bars and self.unplaced is not None
        return self.current(outer) if len(its.named) + its.others + more > 1 else None

    def run_current(self, hop: Hop) -> Value | None:
        """Current (A) of one conductor, whichever way it flows; None where nothing flows."""
        outer, name = self._outer(hop.a, hop.b), f"current of {hop.id}"
        if outer is None:
            return self.core.through(hop, self.taps, name) if hop.id in self.core.hop_branch else None
        current = self.current(outer)
        if current is None or len(cables := self.feeders.cables(outer)) == 1:
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

    def drop(self, terminal: str) -> Value | None:
        """Voltage (V) lost between a terminal and the next one nearer the core, None where nothing flows."""
        current = self.current(terminal)
        if current is None:
            return None
        if terminal not in self._drops:
            name = f"drop up to {terminal}"
            self._drops[terminal] = steady(drop_v, current, self.feeders.ohm(terminal), name=name)
        return self._drops[terminal]

    def lost(self, plus: str, minus: str) -> tuple[Value, Value]:
        """Voltage (V) lost up to two terminals: on their feeders, and in all with the core."""
        if (plus, minus) not in self._lost:
            stretches = [end for each in (plus, minus) for end in self.feeders.stretches(each)]
            drops = [drop for drop in map(self.drop, stretches) if drop is not None]
            at = self.feeders.root(plus), self.feeders.root(minus)
            if at not in self._in_core:
                self._in_core[at] = self.core.lost(self.taps, at, f"volts lost between {at[0]} and {at[1]}")
            feeders = steady(lost_v, *drops, name=f"volts lost on the feeders of {plus}, {minus}")
            every = steady(lost_v, feeders, self._in_core[at], name=f"volts lost up to {plus}, {minus}")
            self._lost[plus, minus] = feeders, every
        return self._lost[plus, minus]


def _least_known(draw: Draw) -> tuple[bool, float, str]:
    """Order in which consumers are named: what is assumed first, then by how much is not known."""
    assumed = any(leaf.origin in WEAK for leaf in leaves_of(draw.amps))
    return not assumed, draw.span.lo - draw.span.hi, draw.part
