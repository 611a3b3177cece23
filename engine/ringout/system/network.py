"""The DC side as a graph of terminals: nets, banks, the way from a consumer to its battery, what is on it."""

from __future__ import annotations

import itertools
from collections import deque
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

import networkx as nx

from ringout.case.case import YES_NO, Case, Hop, Part
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice
from ringout.quantity.traced import Point, Traced
from ringout.system.banks import Bank, banks
from ringout.system.outward import Layout, layout, nearest, way_back

JOINED = "joined through runs and closed devices"
WRITTEN = "the wiring as written"


def _all_there(*links: Point) -> Point:
    return "yes" if set(links) <= {"yes"} else "no"


@dataclass(frozen=True, slots=True)
class Step:
    """One element of a way: a hop with the cables `beside` it between the same ends, or a device passed."""

    hop: Hop | None = None
    device: str = ""
    beside: tuple[Hop, ...] = ()


@dataclass(slots=True)
class Network:
    """The DC graph of a case. Edges are hops and the inside of devices that sit in one pole."""

    case: Case
    graph: nx.Graph[str] = field(init=False)
    cables: dict[tuple[str, str], list[Hop]] = field(init=False)
    nets: dict[str, frozenset[str]] = field(init=False)
    banks: list[Bank] = field(init=False)
    _devices: dict[tuple[str, str], str] = field(init=False, default_factory=dict)
    _layouts: dict[str, Layout] = field(init=False, default_factory=dict)
    _back: dict[frozenset[str], dict[str, str]] = field(init=False, default_factory=dict)
    _steps: dict[tuple[str, str], Step] = field(init=False, default_factory=dict)
    _supposed: dict[str, tuple[Leaf, ...]] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        self.graph, self.cables = nx.Graph(), {}
        for hop in sorted(self.case.hops.values(), key=lambda hop: hop.supposed):
            beside = self.cables.setdefault((hop.a, hop.b), [])
            self.cables[hop.b, hop.a] = beside
            beside.append(hop)
            self.graph.add_edge(hop.a, hop.b)
        for part in self.case.parts.values():
            if part.form.port("through") and not part.acts_as("link"):
                ends = f"{part.name}.in", f"{part.name}.out"
                if any(end in self.graph for end in ends):
                    self.graph.add_edge(*ends, device=part.name)
                    self._devices[ends] = self._devices[ends[::-1]] = part.name
        joined = map(frozenset, nx.connected_components(self.graph))
        self.nets = {terminal: net for net in joined for terminal in net}
        self.banks = banks(self.case, self.nets)

    # -- terminals -------------------------------------------------------------------------------------------

    def terminals(self, part: Part, pole: str) -> list[str]:
        """The terminal of one pole of a part's default port, the one to the battery; none if not wired."""
        return [f"{part.name}{pole}"] if f"{part.name}{pole}" in self.graph else []

    def between(self, a: str, b: str) -> list[Hop]:
        """All hops between two terminals (cables side by side)."""
        return self.cables.get((a, b), [])

    def device(self, a: str, b: str) -> str:
        """The device of which two terminals are the ends, empty where none is."""
        return self._devices.get((a, b), "")

    def within(self, terminals: frozenset[str]) -> list[tuple[str, str]]:
        """The pairs of neighbours among some terminals, in order of name."""
        found = {(a, b) for a in terminals & self.graph.nodes for b in self.graph.adj[a] if b in terminals}
        return sorted((a, b) for a, b in found if a < b)

    def net(self, terminal: str) -> frozenset[str]:
        """All terminals joined with one, through hops and closed devices."""
        return self.nets.get(terminal, frozenset())

    # -- who hangs on which bank -----------------------------------------------------------------------------

    def on_bank(self, part: Part, bank: Bank) -> Traced:
        """yes/no: whether a part takes from or gives to a bank directly (links between banks are open)."""
        way = self.way(part, bank, "+")
        name = f"{part.name} on {bank.name}"
        if way is not None:
            links = [step.hop.there if step.hop else self.case.parts[step.device].there for step in way]
            return Traced(_all_there, tuple(links), name=name, formula=JOINED, source=WRITTEN, widest=YES_NO)
        if any(self.way(part, other, "+") is not None for other in self.banks):
            elsewhere = "its way leads to another bank"
            return Traced(lambda: "no", (), name=name, formula=elsewhere, source=WRITTEN, widest=YES_NO)
        if len(self.banks) == 1:
            only = "the only bank there is"
            return Traced(lambda: "yes", (), name=name, formula=only, source=WRITTEN, widest=YES_NO)
        which = Leaf(f"{part.name}.battery", Choice(frozenset(each.name for each in self.banks)), spot=part.spot)

        def fits(name: Point) -> Point:
            return "yes" if name == bank.name else "no"

        formula = "not drawn: it hangs on one of the banks"
        return Traced(fits, (which,), name=name, formula=formula, source=WRITTEN)

    def unseen(self, way: list[Step]) -> tuple[Leaf, ...]:
        """The supposed runs and devices of a way, as leaves that say whether they are there."""
        found: Iterator[Hop | Part] = (step.hop or self.case.parts[step.device] for step in way)
        return tuple([each.there for each in found if each.supposed])

    def supposed(self, bank: Bank) -> tuple[Leaf, ...]:
        """What the wiring of a bank rests on that nobody saw: supposed runs and devices joined to it."""
        if bank.name not in self._supposed:
            net = self.joined(bank)
            found = [hop.there for hop in self.case.hops.values() if hop.supposed and hop.a in net]
            devices = [part for part in self.case.parts.values() if part.supposed and f"{part.name}.in" in net]
            inside = [part for part in devices if self.graph.has_edge(f"{part.name}.in", f"{part.name}.out")]
            self._supposed[bank.name] = (*found, *(part.there for part in sorted(inside, key=_name)))
        return self._supposed[bank.name]

    def joined(self, bank: Bank) -> frozenset[str]:
        """All terminals joined to the posts of a bank."""
        return frozenset().union(*(self.net(f"{name}{pole}") for name in bank.batteries for pole in "+-"))

    def layout(self, bank: Bank) -> Layout:
        """What is joined to a bank, as core and feeders."""
        if bank.name not in self._layouts:
            posts = [f"{name}{pole}" for name in bank.batteries for pole in "-+"]
            self._layouts[bank.name] = layout(self.graph, posts, self.joined(bank))
        return self._layouts[bank.name]

    # -- ways ------------------------------------------------------------------------------------------------

    def way(self, part: Part, bank: Bank, pole: str) -> list[Step] | None:
        """The way from a part's terminal to the nearest post of the bank, None where none is drawn."""
        return self._way(_posts(bank, pole), f"{part.name}{pole}")

    def leads_to(self, part: Part, bank: Bank, pole: str) -> bool:
        """Whether a way from a part's terminal to a post of the bank is drawn."""
        return f"{part.name}{pole}" in self._way_back(_posts(bank, pole))

    def way_from(self, terminal: str, bank: Bank) -> list[Step]:
        """The way from any terminal to the nearest post of a bank, empty where none is drawn."""
        ways = [self._way(_posts(bank, pole), terminal) for pole in "+-"]
        return next((way for way in ways if way), [])

    def way_in(self, charger: Part, sources: Iterable[Part], pole: str) -> list[Step] | None:
        """The way from the input of an in-vehicle charger to the nearest of its sources, None where none is drawn."""
        own = self.net(f"{charger.name}{pole}")
        ends = frozenset(f"{source.name}{pole}" for source in sources)
        return self._way(ends - own, f"{charger.name}.in{pole}")

    def _way(self, posts: frozenset[str], terminal: str) -> list[Step] | None:
        back = self._way_back(posts)
        return self.steps(way_back(back, terminal)) if terminal in back else None

    def _way_back(self, posts: frozenset[str]) -> dict[str, str]:
        if posts not in self._back:
            self._back[posts] = nearest(self.graph, posts)
        return self._back[posts]

    def steps(self, terminals: list[str]) -> list[Step]:
        """The elements between terminals that follow one another."""
        return [self._step(a, b) for a, b in itertools.pairwise(terminals)]

    def _step(self, a: str, b: str) -> Step:
        """The element between two neighbours; of cables side by side the first seen stands for all."""
        if (a, b) not in self._steps:
            device, hops = self.device(a, b), self.between(a, b)
            self._steps[a, b] = Step(device=device) if device else Step(hops[0], beside=tuple(hops[1:]))
        return self._steps[a, b]

    def reached_without(self, bank: Bank, role: str) -> dict[str, list[Step]]:
        """Parts that can be reached from the plus posts of a bank without passing a part of a role.

        Other batteries of the bank and devices that only sit in the lead do not count; bars and loads do.
        """
        return self._first_met(bank, role, guards=False)

    def leads_without(self, bank: Bank, role: str) -> bool:
        """Whether any part can be reached in that way."""
        return any(not guards for _, _, guards in self._flood(bank, role, {}))

    def first_devices(self, bank: Bank) -> dict[str, list[Step]]:
        """The overcurrent devices met first on the way out of the plus posts, each with the way to it."""
        return self._first_met(bank, "overcurrent", guards=True)

    def reached_devices(self, bank: Bank) -> list[str]:
        """The overcurrent devices that can be reached from the plus posts of a bank, in order of name."""
        back = self._way_back(_tops(bank))
        devices = [part.name for part in self.case.with_role("overcurrent")]
        return sorted(name for name in devices if f"{name}.in" in back or f"{name}.out" in back)

    def way_to_device(self, bank: Bank, device: str) -> list[Step]:
        """The shortest way from the plus posts of a bank to a device that can be reached."""
        ways = [self._way(_tops(bank), f"{device}.{end}") for end in ("in", "out")]
        return min((way for way in ways if way is not None), key=len)[::-1]

    def _first_met(self, bank: Bank, role: str, *, guards: bool) -> dict[str, list[Step]]:
        """The parts that a flood meets, each with the way to where it meets it first."""
        back: dict[str, str] = {}
        ends: dict[str, str] = {}
        for name, end, guard in self._flood(bank, role, back):
            if guard is guards:
                ends.setdefault(name, end)
        return {name: self.steps(way_back(back, end)[::-1]) for name, end in ends.items()}

    def _flood(self, bank: Bank, role: str, back: dict[str, str]) -> Iterator[tuple[str, str, bool]]:
        """Each part met on the way out of the plus posts, the terminal at which, and whether it guards what is beyond.

        `back` is filled with the way back from each terminal.
        """
        back |= {post: post for post in (f"{name}+" for name in bank.batteries) if post in self.graph}
        queue = deque(back)
        while queue:
            here = queue.popleft()
            for there in sorted(self.graph.neighbors(here)):
                device = self.device(here, there)
                if device and self._guards(device, role):
                    # Only what lies beyond it is guarded: a second lug on its near side is not.
                    yield device, here, True
                    continue
                if there in back:
                    continue
                back[there] = here
                queue.append(there)
                part = self.case.parts[there.removesuffix("+").removesuffix("-").split(".")[0]]
                # A link is no device in the lead: another source lies behind it.
                in_the_lead = part.form.port("through") and not part.acts_as("link")
                if part.name not in bank.batteries and not in_the_lead:
                    yield part.name, there, False

    def _guards(self, device: str, role: str) -> bool:
        part = self.case.parts[device]
        return part.acts_as(role) and part.guards

    def drawn(self, bank: Bank) -> bool:
        """Whether any lead away from the bank's plus posts is written."""
        return self.leads_without(bank, "overcurrent") or bool(self.first_devices(bank))

    def take_off(self, part: Part, bank: Bank, pole: str) -> frozenset[int]:
        """The strings (by number) from whose posts a consumer's lead comes, without passing another post."""
        of_post = {
            f"{name}{pole}": number
            for number, string in enumerate(bank.strings)
            for name in (string[:1] if pole == "+" else string[-1:])
        }
        found: set[int] = set()
        seen = set(self.terminals(part, pole)[:1])
        queue = list(seen)
        while queue:
            here = queue.pop()
            for there in self.graph.neighbors(here):
                if there in seen:
                    continue
                seen.add(there)
                if there in of_post:
                    found.add(of_post[there])
                else:
                    queue.append(there)
        return frozenset(found)


def _name(part: Part) -> str:
    return part.name


def _posts(bank: Bank, pole: str) -> frozenset[str]:
    return frozenset(f"{name}{pole}" for name in bank.batteries)


def _tops(bank: Bank) -> frozenset[str]:
    """The plus posts at the top of each string of a bank."""
    return frozenset(f"{string[0]}+" for string in bank.strings)
