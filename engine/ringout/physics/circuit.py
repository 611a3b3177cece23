"""From the wiring of a case to resistances: of a hop, of a way, of a bank with all that hangs on it."""

from __future__ import annotations

from dataclasses import dataclass

import networkx as nx

from ringout.case.case import Case, Hop, Part
from ringout.physics.formulas import (
    conductor_ohm,
    contacts_ohm,
    parallel_ohm,
    series_ohm,
    typical_internal_ohm,
)
from ringout.physics.nodal import Mesh, branch_share, lost_volts
from ringout.physics.tables import by_chemistry, constant
from ringout.quantity.traced import Point, Traced, Value
from ringout.system.network import Bank, Network, Step


def hop_ohm(hop: Hop) -> Traced:
    """Resistance of one conductor with the two lugs at its ends."""
    bare = conductor_ohm.of(
        hop.length,
        hop.size,
        constant("conductor_temperature"),
        constant("stranding"),
        constant("resistivity_20"),
        constant("temperature_coefficient"),
        name=f"{hop.id} conductor",
    )
    return series_ohm.of(bare, constant("joint"), constant("joint"), name=f"{hop.id} with its lugs")


def device_ohm(part: Part) -> Value:
    """Resistance of a fuse, switch or shunt that sits in one pole."""
    bolted, small = constant("device_in_lead"), constant("small_device_in_lead")
    if "rating" not in part.form.fields:
        return small
    return contacts_ohm.of(part.leaf("rating"), bolted, small, name=f"{part.name} with its contacts")


def internal_ohm(battery: Part) -> Value:
    """Internal resistance of a battery: as stated, else what is usual for its chemistry, size and voltage."""
    stated = battery.leaf("internal")
    if stated.known:
        return stated
    usual = by_chemistry("internal_100ah", battery.leaf("chemistry"))
    return typical_internal_ohm.of(
        usual,
        battery.leaf("capacity"),
        battery.leaf("nominal"),
        name=f"usual internal resistance of {battery.name}",
    )


def way_ohm(case: Case, ways: list[list[Step]], name: str) -> Traced:
    """Resistance of one or more ways (usually plus and minus) added up."""
    parts: list[Value] = []
    for way in ways:
        for step in way:
            if step.hop is None:
                parts.append(device_ohm(case.parts[step.device]))
            elif step.beside:
                cables = [hop_ohm(hop) for hop in (step.hop, *step.beside)]
                parts.append(
                    parallel_ohm.of(*cables, name=f"{step.hop.id}, {len(cables)} cables side by side")
                )
            else:
                parts.append(hop_ohm(step.hop))
    return series_ohm.of(*parts, name=name)


@dataclass(frozen=True, slots=True)
class Circuit:
    """The net of a bank as a mesh: its nodes by terminal, its branches with their resistances."""

    mesh: Mesh
    node: dict[str, int]
    resistances: tuple[Value, ...]
    battery_branch: dict[str, int]

    def share(self, battery: str, draw: tuple[str, str], name: str) -> Traced:
        """The part of a current drawn at two terminals that one battery carries."""
        mesh, branch = self.mesh, self.battery_branch[battery]
        ends = self.node[draw[0]], self.node[draw[1]]

        def solve(*ohms: Point) -> Point:
            return branch_share(mesh, [float(each) for each in ohms], ends, branch)

        return Traced(
            solve,
            self.resistances,
            name=name,
            dimension="ratio",
            formula="nodal solve of the bank and its leads, all batteries at equal voltage",
            source="Kirchhoff's laws",
        )

    def lost(self, draws: list[tuple[str, str, Value]], at: tuple[str, str], name: str) -> Traced:
        """Voltage lost between two terminals when the given currents are drawn."""
        mesh = self.mesh
        ends = [(self.node[plus], self.node[minus]) for plus, minus, _ in draws]
        where = self.node[at[0]], self.node[at[1]]
        count = len(draws)

        def solve(*values: Point) -> Point:
            amps = [float(each) for each in values[:count]]
            ohms = [float(each) for each in values[count:]]
            drawn = [(plus, minus, amp) for (plus, minus), amp in zip(ends, amps, strict=True)]
            return lost_volts(mesh, ohms, drawn, where)

        return Traced(
            solve,
            (*(amps for _, _, amps in draws), *self.resistances),
            name=name,
            dimension="voltage",
            formula="nodal solve of the bank and its leads with the currents drawn",
            source="Kirchhoff's laws",
        )


def circuit(network: Network, bank: Bank, keep: set[str], *, equal: bool) -> Circuit | None:
    """The mesh of a bank with the leads to the terminals in `keep`; None where the batteries are not drawn as
    joined or one of the terminals is not joined to them.

    Dead ends that carry nothing are left out, so that nothing rests on them.
    `equal`: all batteries of the bank get the internal resistance of the first, so that what comes out
    judges the *wiring*; otherwise each has its own.
    """
    if not bank.joined:
        return None
    case = network.case
    posts = [f"{name}{pole}" for name in bank.batteries for pole in "-+"]
    graph = network.graph.subgraph(set().union(*(network.net(post) for post in posts))).copy()
    if not keep <= set(graph):
        return None
    _prune(graph, keep | set(posts))
    node = {terminal: number for number, terminal in enumerate(dict.fromkeys([*posts, *sorted(graph.nodes)]))}
    branches: list[tuple[int, int]] = []
    resistances: list[Value] = []
    for a, b, edge in graph.edges(data=True):
        if "hop" in edge:
            for hop in network.between(a, b):
                branches.append((node[hop.a], node[hop.b]))
                resistances.append(hop_ohm(hop))
        else:
            branches.append((node[a], node[b]))
            resistances.append(device_ohm(case.parts[edge["device"]]))
    first = case.parts[bank.batteries[0]]
    battery_branch = {}
    for name in bank.batteries:
        battery_branch[name] = len(branches)
        branches.append((node[f"{name}-"], node[f"{name}+"]))
        resistances.append(internal_ohm(first if equal else case.parts[name]))
    return Circuit(Mesh(len(node), tuple(branches)), node, tuple(resistances), battery_branch)


def _prune(graph: nx.Graph[str], keep: set[str]) -> None:
    """Take dead ends off, one after the other."""
    ends = [node for node in graph if graph.degree(node) <= 1 and node not in keep]
    while ends:
        node = ends.pop()
        near = list(graph.neighbors(node))
        graph.remove_node(node)
        ends += [each for each in near if graph.degree(each) <= 1 and each not in keep]
