"""Protection per source path: the plus side of the DC graph cut at its fuses and breakers into zones.

Within a zone no device stands between one conductor and another. The zone that holds the plus posts of a bank
is protected by nothing; every other zone by the devices through which it is entered from the bank's side. Two
devices that enter the same zone side by side guard it with the sum of their ratings.
"""

from __future__ import annotations

from dataclasses import dataclass

import networkx as nx

from ringout.case.case import Hop
from ringout.system.network import Bank, Network


@dataclass(frozen=True, slots=True)
class Zone:
    """Conductors that share one protection, seen from one bank. `guards` is empty in the bank's own zone."""

    hops: tuple[Hop, ...]
    guards: tuple[str, ...]
    own: bool


def zones(network: Network, bank: Bank) -> list[Zone]:
    """The zones that a bank can feed through its plus side, its own first."""
    case = network.case
    devices = {part.name for part in case.with_role("overcurrent") if not part.supposed}
    cut: nx.Graph[str] = nx.Graph()
    joints: list[tuple[str, str, str]] = []
    for a, b, edge in network.graph.edges(data=True):
        if edge.get("device") in devices:
            joints.append((a, b, str(edge["device"])))
            cut.add_nodes_from((a, b))
        else:
            cut.add_edge(a, b)
    number = {node: n for n, group in enumerate(nx.connected_components(cut)) for node in group}
    start = {number[f"{name}+"] for name in bank.batteries if f"{name}+" in number}
    minus = {number[f"{name}-"] for name in bank.batteries if f"{name}-" in number} - start
    doors: nx.MultiGraph[int] = nx.MultiGraph()
    doors.add_nodes_from(start)
    for a, b, device in joints:
        if not minus & {number[a], number[b]}:
            doors.add_edge(number[a], number[b], device=device)
    reached = _reach(doors, start)
    hops: dict[int, list[Hop]] = {}
    for hop in case.hops.values():
        if number.get(hop.a) in reached:
            hops.setdefault(number[hop.a], []).append(hop)
    return [
        Zone(tuple(hops.get(n, ())), _guards(doors, start, n), n in start)
        for n in sorted(reached, key=lambda n: (n not in start, n))
    ]


def _reach(doors: nx.MultiGraph[int], start: set[int]) -> set[int]:
    """The zones that can be entered from the bank's own."""
    return set().union(*(nx.node_connected_component(doors, n) for n in start if n in doors))


def _guards(doors: nx.MultiGraph[int], start: set[int], zone: int) -> tuple[str, ...]:
    """The devices through which a zone is entered: those from zones that the bank reaches without it."""
    if zone in start:
        return ()
    others = nx.restricted_view(doors, [zone], [])
    before = _reach(others, start)
    return tuple(
        sorted({edge["device"] for _, there, edge in doors.edges(zone, data=True) if there in before})
    )
