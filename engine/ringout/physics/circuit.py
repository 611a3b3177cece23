"""From the wiring of a case to resistances: of a hop, of a way, of a bank with all that hangs on it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise

from ringout.case.case import Case, Hop, Part
from ringout.kept import remembered
from ringout.physics.formulas import (
    conductor_ohm,
    contacts_ohm,
    copper_ohm_mm2_m,
    parallel_ohm,
    series_ohm,
    typical_internal_ohm,
)
from ringout.physics.nodal import Mesh
from ringout.physics.solved import Memo, Solved
from ringout.physics.tables import by_chemistry, constant
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Span
from ringout.quantity.steady import Steady, steady
from ringout.quantity.traced import Traced, Value
from ringout.system.banks import Bank
from ringout.system.network import Network, Step

UNIT = Leaf("number.1", Span(1.0, 1.0), "current", known=True, text="1")
"""A current of 1 A, for shares."""


def hop_ohm(hop: Hop) -> Steady:
    """Resistance of one conductor with the two lugs at its ends."""
    return _conductor(hop.id, _copper(), hop.length, hop.size, constant("joint"))


@lru_cache(maxsize=4096)
def _conductor(id: str, copper: Traced, length: Value, size: Leaf, lug: Leaf) -> Steady:
    """Made once for a length, a size and the tables, since many numbers rest on one conductor."""
    return steady(conductor_ohm, copper, length, size, lug, name=f"{id} with its lugs", falls=(2,))


@remembered
def _copper() -> Traced:
    """What copper resists, the same in every conductor. Below 20 C it falls with its coefficient: it is not steady."""
    names = ("conductor_temperature", "stranding", "resistivity_20", "temperature_coefficient")
    return copper_ohm_mm2_m.of(*(constant(name) for name in names), name="copper of a cable at work")


def cables_ohm(hops: Sequence[Hop]) -> Steady:
    """Resistance of the cables between two terminals, one or several side by side."""
    if len(hops) == 1:
        return hop_ohm(hops[0])
    cables = [hop_ohm(hop) for hop in hops]
    return steady(parallel_ohm, *cables, name=f"{hops[0].id}, {len(cables)} cables side by side")


def device_ohm(part: Part) -> Value:
    """Resistance of a fuse, switch or shunt that sits in one pole: as stated, else by its rating."""
    if "resistance" in part.form.fields and part.leaf("resistance").known:
        return part.leaf("resistance")
    if "rating" not in part.form.fields:
        return constant("small_device_in_lead")
    return _contacts(part.name, part.leaf("rating"), constant("device_in_lead"), constant("small_device_in_lead"))


@lru_cache(maxsize=4096)
def _contacts(name: str, rating: Leaf, bolted: Leaf, small: Leaf) -> Traced:
    """Made once for a device and the tables, as a conductor is.

    Nothing says that small contacts resist more than bolted ones: whether it falls with the rating is up to the tables.
    """
    return contacts_ohm.of(rating, bolted, small, name=f"{name} with its contacts")


def internal_ohm(battery: Part) -> Value:
    """Internal resistance of a battery: as stated, else what is usual for its chemistry, size and voltage.

    Its size is what is printed on it: that a test found less left in it makes it no smaller.
    """
    stated = battery.leaf("internal")
    if stated.known:
        return stated
    size = battery.leaf("capacity").as_stated
    usual = by_chemistry("internal_100ah", battery.leaf("chemistry"))
    return steady(
        typical_internal_ohm,
        usual,
        size if size.known else battery.leaf("capacity"),
        battery.leaf("nominal"),
        name=f"usual internal resistance of {battery.name}",
        falls=(1,),
    )


def way_ohm(case: Case, ways: list[list[Step]], name: str) -> Steady:
    """Resistance of one or more ways (usually plus and minus) added up."""
    parts: list[Value] = []
    for step in (step for way in ways for step in way):
        if step.hop is None:
            parts.append(device_ohm(case.parts[step.device]))
        else:
            parts.append(cables_ohm((step.hop, *step.beside)))
    return steady(series_ohm, *parts, name=name)


@dataclass(frozen=True, slots=True)
class Circuit:
    """The net of a bank as a mesh: its nodes by terminal, its branches with their resistances."""

    mesh: Mesh
    node: dict[str, int]
    resistances: tuple[Value, ...]
    battery_branch: dict[str, int]
    hop_branch: dict[str, int]
    memo: Memo = field(default_factory=dict)

    def share(self, battery: str, draw: tuple[str, str], name: str) -> Solved:
        """The part of a current drawn at two terminals that one battery carries."""
        return Solved(
            self.mesh,
            self.resistances,
            [(self.node[draw[0]], self.node[draw[1]], UNIT)],
            name=name,
            formula="nodal solve of the bank and its leads, all batteries at equal voltage",
            dimension="ratio",
            memo=self.memo,
            branch=self.battery_branch[battery],
        )

    def battery_current(self, battery: str, draw: tuple[str, str, Value], name: str) -> Solved:
        """Current (A) that one battery gives when a current is drawn at two terminals."""
        return Solved(
            self.mesh,
            self.resistances,
            self._drawn([draw]),
            name=name,
            formula="nodal solve of the bank and its leads, all batteries at equal voltage",
            dimension="current",
            memo=self.memo,
            branch=self.battery_branch[battery],
        )

    def seen(self, at: tuple[str, str], name: str) -> Solved:
        """Resistance (ohm) of all the batteries and leads, seen from two terminals (plus, minus)."""
        ends = self.node[at[0]], self.node[at[1]]
        return Solved(
            self.mesh,
            self.resistances,
            [(*ends, UNIT)],
            name=name,
            formula="nodal solve of the bank and its leads: the volts that 1 A loses",
            dimension="resistance",
            memo=self.memo,
            at=ends,
        )

    def lost(self, draws: Sequence[tuple[str, str, Value]], at: tuple[str, str], name: str) -> Solved:
        """Voltage (V) lost between two terminals (plus, minus) when the given currents are drawn."""
        return Solved(
            self.mesh,
            self.resistances,
            self._drawn(draws),
            name=name,
            formula="nodal solve of the bank and its leads with the currents drawn",
            dimension="voltage",
            memo=self.memo,
            at=(self.node[at[0]], self.node[at[1]]),
        )

    def through(self, hop: Hop, draws: Sequence[tuple[str, str, Value]], name: str) -> Solved:
        """Current (A) in a conductor, whichever way it flows, when the given currents are drawn."""
        return Solved(
            self.mesh,
            self.resistances,
            self._drawn(draws),
            name=name,
            formula="nodal solve of the bank and its leads with the currents drawn",
            dimension="current",
            memo=self.memo,
            branch=self.hop_branch[hop.id],
            either_way=True,
        )

    def _drawn(self, draws: Sequence[tuple[str, str, Value]]) -> list[tuple[int, int, Value]]:
        return [(self.node[plus], self.node[minus], amps) for plus, minus, amps in draws]


def circuit(network: Network, bank: Bank, keep: Iterable[str], *, equal: bool) -> Circuit | None:
    """The mesh of a bank with the leads to the terminals in `keep`; None where the batteries are not drawn as
    joined or one of the terminals is not joined to them.

    Dead ends that carry nothing are left out, so that nothing rests on them.
    `equal`: all batteries of the bank get the internal resistance of the first, so that what comes out
    judges the *wiring*; otherwise each has its own.
    """
    layout = network.layout(bank)
    if not bank.joined or not all(terminal in layout for terminal in keep):
        return None
    case = network.case
    feeders = {end for terminal in keep for end in pairwise(layout.feeder(terminal))}
    posts = [f"{name}{pole}" for name in bank.batteries for pole in "-+"]
    terminals = dict.fromkeys([*posts, *sorted({*layout.core, *(outer for outer, _ in feeders)})])
    node = {terminal: number for number, terminal in enumerate(terminals)}
    branches: list[tuple[int, int]] = []
    resistances: list[Value] = []
    hop_branch = {}
    for a, b in [*network.within(layout.core), *sorted(feeders)]:
        for hop in network.between(a, b):
            hop_branch[hop.id] = len(branches)
            branches.append((node[hop.a], node[hop.b]))
            resistances.append(hop_ohm(hop))
        device = network.device(a, b)
        if device:
            branches.append((node[a], node[b]))
            resistances.append(device_ohm(case.parts[device]))
    first = case.parts[bank.batteries[0]]
    battery_branch = {}
    for name in bank.batteries:
        battery_branch[name] = len(branches)
        branches.append((node[f"{name}-"], node[f"{name}+"]))
        resistances.append(internal_ohm(first if equal else case.parts[name]))
    return Circuit(Mesh(len(node), tuple(branches)), node, tuple(resistances), battery_branch, hop_branch)
