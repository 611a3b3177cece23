"""The feeders of a bank: the ways of single flow between its core and everything that hangs on it.

Fuses and switches in a lead carry what the lead carries. From one place where ways join, or where a part hangs, to
the next is therefore one reach: one current, one resistance.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property

from ringout.physics.circuit import Circuit, cables_ohm, circuit, device_ohm
from ringout.physics.formulas import PLAIN, parallel_ohm, series_ohm
from ringout.quantity.span import Span
from ringout.quantity.steady import Steady, steady
from ringout.quantity.traced import Value, domain_of, formula
from ringout.system.banks import Bank
from ringout.system.network import Network


@formula("n · I", dimension="current", source=PLAIN)
def times_a(count: float, each_a: float) -> float:
    """Current (A) of several alike."""
    return count * each_a


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


@dataclass
class Feeders:
    """The feeders of one bank and its core, with their resistances. `core` None: the bank is not drawn as
    joined.

    Conductors in which what some consumers take meets what others give back (a bank tapped in its middle)
    have no one way of flow; `both_ways` names terminals behind such a conductor, and it is counted to the
    core. A reach goes by the terminal at its far end; `reaches` leads from there to its near end, far ones first.
    """

    network: Network
    bank: Bank
    both_ways: frozenset[str] = frozenset()
    core: Circuit | None = field(init=False)
    reaches: dict[str, str] = field(init=False)
    _inward: dict[str, str] = field(init=False)
    _ohm: dict[str, Value] = field(init=False, default_factory=dict)
    _core_ohm: dict[tuple[str, str], Value] = field(init=False, default_factory=dict)
    _seen: dict[tuple[str, str], Steady] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        layout = self.network.layout(self.bank)
        self.core = circuit(self.network, self.bank, self.both_ways, equal=False)
        meshed = {each for terminal in self.both_ways for each in layout.feeder(terminal)}
        self._inward = {end: near for end, near in layout.inward.items() if end not in meshed}
        self.reaches = {far: self._inward[terminal] for terminal, far in self._far.items()}

    @cached_property
    def _far(self) -> dict[str, str]:
        """The far end of the reach on which each terminal of a feeder lies, far terminals first."""
        far: dict[str, str] = {}
        joining, device = Counter(self._inward.values()), self.network.device
        for terminal, nearer in self._inward.items():
            here, beyond = far.setdefault(terminal, terminal), self._inward.get(nearer)
            if beyond and joining[nearer] == 1 and (device(terminal, nearer) or device(nearer, beyond)):
                far[nearer] = here
        return far

    def reach(self, a: str, b: str) -> str:
        """The reach of which two neighbours are a stretch, empty where it is of the core or none."""
        outer = a if self._inward.get(a) == b else b if self._inward.get(b) == a else ""
        return self._far.get(outer, "")

    def root(self, terminal: str) -> str:
        """The terminal of the core on which a far end hangs; itself where it is of the core."""
        return self._roots.get(terminal, terminal)

    @cached_property
    def _roots(self) -> dict[str, str]:
        roots: dict[str, str] = {}
        for far, near in reversed(self.reaches.items()):
            roots[far] = roots.get(near, near)
        return roots

    def way(self, terminal: str) -> list[str]:
        """The reaches on the way from a far end to the core."""
        found = []
        while terminal in self.reaches:
            found.append(terminal)
            terminal = self.reaches[terminal]
        return found

    def passed(self, terminals: Iterable[str]) -> list[str]:
        """The reaches on the ways from some far ends to the core, far ones first."""
        found: set[str] = set()
        for terminal in terminals:
            while terminal in self.reaches and terminal not in found:
                found.add(terminal)
                terminal = self.reaches[terminal]
        return [far for far in self.reaches if far in found]

    def ohm(self, far: str) -> Value:
        """Resistance (ohm) of a reach."""
        if far not in self._ohm:
            each, terminal = [], far
            while self._far.get(terminal) == far:
                each.append(self._stretch_ohm(terminal, self._inward[terminal]))
                terminal = self._inward[terminal]
            made = each[0] if len(each) == 1 else steady(series_ohm, *each, name=f"all from {far} to {terminal}")
            self._ohm[far] = made
        return self._ohm[far]

    def _stretch_ohm(self, terminal: str, nearer: str) -> Value:
        """Resistance (ohm) between two neighbours: cables, a device, or cables that bridge one."""
        hops, device = self.network.between(terminal, nearer), self.network.device(terminal, nearer)
        each: list[Value] = [cables_ohm(hops)] if hops else []
        each += [device_ohm(self.network.case.parts[device])] if device else []
        return each[0] if len(each) == 1 else steady(parallel_ohm, *each, name=f"{device} and what bridges it")

    @cached_property
    def to_bars(self) -> frozenset[str]:
        """The reaches from bars or from where the way of some leads on, where more may hang than is written."""
        parts = self.network.case.parts
        found = {far for far in self.reaches if parts[far.rstrip("+-").split(".")[0]].acts_as("bars")}
        for far, near in self.reaches.items():
            if far in found and near in self.reaches:
                found.add(near)
        return frozenset(found)

    def seen_ohm(self, plus: str, minus: str) -> Steady:
        """Resistance (ohm) that a consumer at two terminals sees, of its feeders and of the core."""
        assert self.core is not None
        if (plus, minus) not in self._seen:
            at = self.root(plus), self.root(minus)
            if at not in self._core_ohm:
                self._core_ohm[at] = self.core.seen(at, f"resistance behind {at[0]} and {at[1]}")
            each, name = [self.ohm(far) for end in (plus, minus) for far in self.way(end)], f"{plus}, {minus}"
            self._seen[plus, minus] = steady(series_ohm, *each, self._core_ohm[at], name=f"all resistance up to {name}")
        return self._seen[plus, minus]
