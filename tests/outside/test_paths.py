"""Whether every path from a bank passes a fuse, against minimum cuts and connectivity by networkx.

Random plus sides are written as cases; the graph for the oracle is built here from the same random choices,
and never asks the network of the case.
"""

import itertools
import random
from dataclasses import dataclass, field

import networkx as nx
import pytest

from ringout.case.load import load_text
from ringout.system.banks import Bank
from ringout.system.network import Network
from ringout.system.zones import Zone, zones

SEEDS = range(150)
DEVICES = {
    "f1": "fuse",
    "f2": "fuse",
    "f3": "fuse",
    "k1": "breaker",
    "k2": "breaker",
    "sw": "isolator",
    "maybe": "fuse, supposed: yes",
}
GUARDS = ("f1", "f2", "f3", "k1", "k2")
"""What counts as protection: no switch, and no fuse that nobody saw."""


@dataclass
class PlusSide:
    """Batteries, bars, loads and devices joined at random, as text and as a graph of terminals."""

    seed: int
    chains: list[str] = field(default_factory=list)
    graph: "nx.Graph[str]" = field(default_factory=nx.Graph)

    def __post_init__(self) -> None:
        pick = random.Random(self.seed)
        self.batteries = [f"b{n}" for n in range(1, pick.randint(1, 3) + 1)]
        self.consumers = [f"bars{n}" for n in range(pick.randint(1, 3))]
        self.consumers += [f"load{n}" for n in range(pick.randint(1, 3))]
        self.chains += [f"b1- = {name}-" for name in self.batteries[1:]]
        terminals = [f"{name}+" for name in [*self.batteries, *self.consumers]]
        devices = pick.sample(sorted(DEVICES), k=pick.randint(2, len(DEVICES)))
        for device in devices:
            self.graph.add_edge(f"{device}.in", f"{device}.out", device=device)
            near, far = pick.sample(terminals, 2)
            self.chain(near, device, far)
        for _ in range(pick.randint(0, 3)):
            a, b = pick.sample(terminals, 2)
            self.chain(a, b)
        if pick.random() < 0.5:
            # A second lug on one side of a device.
            device, terminal = pick.choice(devices), pick.choice(terminals)
            self.chain(*pick.choice(((terminal, device), (device, terminal))))

    def chain(self, *parts: str) -> None:
        """A chain as a case writes it: the left side of a device is its `in`."""
        line = " = ".join(parts)
        if line in self.chains:
            return
        self.chains.append(line)
        for left, right in itertools.pairwise(parts):
            a = f"{left}.out" if left in DEVICES else left
            b = f"{right}.in" if right in DEVICES else right
            self.graph.add_edge(a, b)

    def network(self) -> Network:
        """What the text says."""
        kinds = dict.fromkeys(self.batteries, "battery") | DEVICES
        kinds |= {name: "busbars" if name.startswith("bars") else "dc_load" for name in self.consumers}
        parts = [f"  {name}: {{kind: {kind}}}" for name, kind in kinds.items()]
        chains = [f"  - {chain}" for chain in self.chains]
        rows = ["case: the marsh van, invented", "parts:", *parts, "dc:", *chains]
        return Network(load_text("\n".join(rows), "van.yaml"))

    def unguarded(self) -> "nx.Graph[str]":
        """The graph with every guard taken out."""
        left = self.graph.copy()
        left.remove_edges_from([(f"{guard}.in", f"{guard}.out") for guard in GUARDS])
        return left

    def guards_needed(self, bank: Bank, terminal: str) -> float:
        """How many guards at least must open to part a terminal from the plus posts; infinite if none can."""
        flow = nx.DiGraph()
        for a, b, edge in self.graph.edges(data=True):
            room = {"capacity": 1} if edge.get("device") in GUARDS else {}
            flow.add_edge(a, b, **room)
            flow.add_edge(b, a, **room)
        for post in posts(bank):
            flow.add_edge("bank", post)
        if terminal not in flow:
            return 0
        try:
            return float(nx.minimum_cut_value(flow, "bank", terminal))
        except nx.NetworkXUnbounded:
            return float("inf")


def posts(bank: Bank) -> list[str]:
    return [f"{name}+" for name in bank.batteries]


def reach(graph: "nx.Graph[str]", bank: Bank) -> set[str]:
    """Terminals joined to the plus posts of a bank."""
    joined = (nx.node_connected_component(graph, post) for post in posts(bank) if post in graph)
    return set().union(*joined)


plus_side = pytest.mark.parametrize("side", [PlusSide(seed) for seed in SEEDS], ids=lambda side: side.seed)


@plus_side
def test_what_is_reached_without_a_guard(side: PlusSide) -> None:
    network = side.network()
    for bank in network.banks:
        found = set(network.reached_without(bank, "overcurrent"))
        by_connectivity = {name for name in side.consumers if f"{name}+" in reach(side.unguarded(), bank)}
        by_cut = {name for name in side.consumers if side.guards_needed(bank, f"{name}+") == float("inf")}
        assert by_connectivity == by_cut
        assert found == by_cut


@plus_side
def test_the_zones_are_the_pieces_left_when_the_guards_are_out(side: PlusSide) -> None:
    network = side.network()
    for bank in network.banks:
        reached, pieces = reach(side.graph, bank), side.unguarded()
        found = [zone for zone in zones(network, bank) if zone.hops]
        wanted = [piece for piece in nx.connected_components(pieces) if piece & reached and len(piece) > 1]
        by_first = sorted(wanted, key=min)
        assert sorted((terminals(zone) for zone in found), key=min) == by_first
        for zone in found:
            assert zone.own == (not zone.guards) == (terminals(zone) <= reach(pieces, bank))


@plus_side
def test_opening_the_guards_of_a_zone_parts_it_from_the_bank(side: PlusSide) -> None:
    network = side.network()
    for bank in network.banks:
        for zone in zones(network, bank):
            if zone.own or not zone.hops:
                continue
            opened = side.graph.copy()
            opened.remove_edges_from([(f"{guard}.in", f"{guard}.out") for guard in zone.guards])
            assert not terminals(zone) & reach(opened, bank)
            assert len(zone.guards) >= side.guards_needed(bank, min(terminals(zone)))


def terminals(zone: Zone) -> set[str]:
    return {end for hop in zone.hops for end in (hop.a, hop.b)}
