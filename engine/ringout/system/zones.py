"""Protection per source path: the plus side of the DC graph cut at its fuses and breakers into zones.

Within a zone no device stands between one conductor and another. The zone that holds the plus posts of a bank
is protected by nothing; every other zone by the devices through which it is entered from the bank's side. Two
devices that enter the same zone side by side guard it with the sum of their ratings.
"""

from __future__ import annotations

from collections.abc import Container
from dataclasses import dataclass

import networkx as nx

from ringout.case.case import Hop
from ringout.system.banks import Bank
from ringout.system.network import Network

OUTSIDE = -1
"""Stands before the zones of the bank itself."""


@dataclass(frozen=True, slots=True)
class Zone:
    """Conductors that share one protection, seen from one bank. `guards` is empty in the bank's own zone."""

    hops: tuple[Hop, ...]
    guards: tuple[str, ...]
    own: bool


def zones(network: Network, bank: Bank) -> list[Zone]:
    """The zones that a bank can feed through its plus side, its own first."""
    case = network.case
    devices = {part.name for part in case.with_role("overcurrent") if part.guards}
    number = _numbered(network, devices)
    ends = [(f"{name}.in", f"{name}.out", name) for name in sorted(devices)]
    joints = [(a, b, name) for a, b, name in ends if network.device(a, b)]
    start = {number[f"{name}+"] for name in bank.batteries if f"{name}+" in number}
    minus = {number[f"{name}-"] for name in bank.batteries if f"{name}-" in number} - start
    doors: nx.DiGraph[int] = nx.DiGraph()
    doors.add_nodes_from([OUTSIDE, *start])
    doors.add_edges_from((OUTSIDE, n) for n in start)
    guards: dict[tuple[int, int], set[str]] = {}
    for a, b, device in joints:
        if not minus & {number[a], number[b]}:
            for here, there in ((number[a], number[b]), (number[b], number[a])):
                doors.add_edge(here, there)
                guards.setdefault((here, there), set()).add(device)
    # The zone through which every way from the bank to a zone passes last.
    gate = nx.immediate_dominators(doors, OUTSIDE)
    reached = gate.keys() - {OUTSIDE}
    hops: dict[int, list[Hop]] = {}
    for hop in case.hops.values():
        if number.get(hop.a) in reached:
            hops.setdefault(number[hop.a], []).append(hop)
    found = []
    for n in sorted(reached, key=lambda n: (n not in start, n)):
        named: set[str] = set()
        for before in doors.predecessors(n) if n not in start else ():
            # Only from a neighbour that the bank reaches without passing the zone itself.
            if before != n and gate[before] != n:
                named |= guards[before, n]
        found.append(Zone(tuple(hops.get(n, ())), tuple(sorted(named)), n in start))
    return found


def _numbered(network: Network, devices: Container[str]) -> dict[str, int]:
    """The number of the zone of each terminal, where the wiring is cut at some devices."""
    number: dict[str, int] = {}
    for zone, start in enumerate(network.graph):
        queue = [start] if number.setdefault(start, zone) == zone else []
        while queue:
            here = queue.pop()
            for there in network.graph.neighbors(here):
                if there not in number and network.device(here, there) not in devices:
                    number[there] = zone
                    queue.append(there)
    return number
