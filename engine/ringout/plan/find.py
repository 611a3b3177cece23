"""What a remedy looks up in a case: the links of a bank, the lead of a part, what feeds a consumer now."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import networkx as nx

from ringout.case.case import Case, Hop
from ringout.plan.feeds import feed_of
from ringout.plan.runs import NOT_KNOWN, implied, written
from ringout.plan.written import Unfit
from ringout.system.banks import Bank
from ringout.system.network import Network

Item = Mapping[str, str]
"""One thing found: its name under "", and what it tells of itself."""


class Finder:
    """Looks things up in one case. Each look raises Unfit where a remedy cannot go on without."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.network = Network(case)

    def look(self, what: str, of: str) -> tuple[Item, ...]:
        """What is found by one of the looks that a remedy may ask for (`remedy.LOOKS`), by its name."""
        found: tuple[Item, ...] = getattr(self, what)(of)
        return found

    def one_of_kind(self, kind: str) -> tuple[Item, ...]:
        """The parts of a kind, of which a person chooses where there are several."""
        found = [part.name for part in self.case.parts.values() if part.kind == kind and not part.supposed]
        if not found:
            raise Unfit(f"no {kind.replace('_', ' ')} is written")
        return tuple({"": name} for name in found)

    def place_of(self, name: str) -> tuple[Item, ...]:
        """The place of a part, of a bank that of its first battery; nothing where none is stated."""
        bank = next((bank for bank in self.network.banks if bank.name == name), None)
        part = self.case.parts[bank.batteries[0] if bank else name]
        return ({"": part.place},) if part.place else ()

    def distances_of(self, name: str) -> tuple[Item, ...]:
        """The distances stated from or to a part, which no longer hold when it moves."""
        return tuple({"": key} for key in self.case.frame.distances if name in key.split(" to "))

    def feed_of(self, consumer: str) -> tuple[Item, ...]:
        """The one source from which a consumer is fed now."""
        feed = feed_of(self.case, consumer)
        if len(feed.sources) != 1 or feed.supposed:
            raise Unfit(f"it is not known yet what feeds {consumer}")
        source, _, port = feed.sources[0].partition(".")
        default = self.case.parts[source].form.port("ac_gives", "ac_through", "ac_selects")
        return ({"": feed.to, "from": source if port == default else feed.sources[0]},)

    def links_of(self, bank: str) -> tuple[Item, ...]:
        """The runs between the posts of a bank's batteries."""
        posts = _posts(self.bank(bank), "+-")
        hops = [hop for hop in self.case.hops.values() if hop.a in posts and hop.b in posts]
        return self.items(hops, f"no links between the batteries of {bank} are written")

    def lead_of(self, part: str) -> tuple[Item, ...]:
        """The runs that serve a part alone: from its terminals to where something else joins."""
        hops: list[Hop] = []
        for pole in "+-":
            here, came = f"{part}{pole}", ""
            while here in self.network.graph:
                ahead = [there for there in self.network.graph.neighbors(here) if there != came]
                if len(ahead) != 1 or (came and here.endswith(("+", "-"))):
                    break
                hops += self.network.between(here, ahead[0])
                here, came = ahead[0], here
        return self.items(hops, f"no lead of its own is written for {part}")

    def last_run_to(self, part: str) -> tuple[Item, ...]:
        """The runs that end at a part; of a line of both poles the way out, which the return follows."""
        ends = {f"{part}+", f"{part}-"}
        return self.at(ends, f"no run to {part} is written")

    def runs_at_panels_of(self, part: str) -> tuple[Item, ...]:
        """The runs at the panel side of a solar controller, nothing where none is written."""
        ends = {f"{part}.pv+", f"{part}.pv-"}
        return self.at(ends, "")

    def unfused_leads_of(self, bank: str) -> tuple[Item, ...]:
        """The runs that leave the plus posts of a bank for something that no fuse or breaker guards."""
        its = self.bank(bank)
        posts = _posts(its, "+")
        hops: list[Hop] = []
        for way in self.network.reached_without(its, "overcurrent").values():
            runs = [step.hop for step in way if step.hop is not None]
            leaving = [hop for hop in runs if (hop.a in posts) != (hop.b in posts)]
            hops += [hop for hop in leaving[-1:] if hop not in hops]
        return self.items(hops, f"no lead of {bank} without a fuse is written", posts)

    def minus_lead_of(self, bank: str) -> tuple[Item, ...]:
        """The run by which the minus side leaves a bank; `far` is the minus post to which it belongs.

        That is the post furthest along the minus links from the battery at which the plus side leaves.
        """
        its = self.bank(bank)
        plus, minus = self.leaving(its, "+"), self.leaving(its, "-")
        if len({item["from"] for item in plus}) != 1 or len(minus) != 1:
            raise Unfit(f"{bank} is not left by one plus and one minus lead")
        near = plus[0]["from"].removesuffix("+") + "-"
        links = self.network.graph.subgraph(_posts(its, "-"))
        away = nx.single_source_shortest_path_length(links, near) if near in links else {near: 0}
        far = max(away, key=lambda post: away[post])
        if far == near:
            raise Unfit(f"no minus links between the batteries of {bank} are written")
        return ({**minus[0], "far": far},)

    # -- shared --------------------------------------------------------------------------------------------

    def bank(self, name: str) -> Bank:
        """A bank by its name. Unfit where there is none."""
        for bank in self.network.banks:
            if bank.name == name:
                return bank
        raise Unfit(f"there is no bank {name}")

    def leaving(self, bank: Bank, pole: str) -> tuple[Item, ...]:
        """The runs from the posts of one pole to anything but such posts."""
        posts = _posts(bank, pole)
        hops = [hop for hop in self.case.hops.values() if (hop.a in posts) != (hop.b in posts)]
        return self.items(hops, f"no lead from the {pole} posts of {bank.name} is written", posts)

    def at(self, ends: set[str], why: str) -> tuple[Item, ...]:
        """The runs at some terminals, but for the returns that another run implies."""
        hops = [hop for hop in self.case.hops.values() if {hop.a, hop.b} & ends]
        return self.items([hop for hop in hops if not implied(self.case, hop.id)], why, ends)

    def items(self, hops: list[Hop], why: str, starts: Iterable[str] = ()) -> tuple[Item, ...]:
        """Runs and what they tell, `from` being the end among `starts`. None is Unfit if `why` is said."""
        if not hops and why:
            raise Unfit(why)
        return tuple(self.item(hop, number, set(starts)) for number, hop in enumerate(hops, 1))

    def item(self, hop: Hop, number: int, starts: set[str]) -> Item:
        run = written(self.case, hop.id)
        ends = (hop.a, hop.b) if hop.a in starts or hop.b not in starts else (hop.b, hop.a)
        said = {"size": run.size or NOT_KNOWN, "length": run.length or NOT_KNOWN}
        long = [name for name, value in said.items() if not isinstance(value, str)]
        if long:
            raise Unfit(f"the {long[0]} of {hop.id} is written with names, which cannot be carried over")
        return {"": hop.id, "from": ends[0], "to": ends[1], "n": str(number), **said}


def _posts(bank: Bank, poles: str) -> set[str]:
    return {f"{name}{pole}" for name in bank.batteries for pole in poles}
