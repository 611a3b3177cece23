"""Facts of the battery monitor: what bypasses its shunt, and whether it is set for the bank it counts."""

from __future__ import annotations

from collections.abc import Iterator

import networkx as nx

from ringout.case.case import YES_NO, Part
from ringout.facts.banks import BankFacts
from ringout.facts.fact import Fact
from ringout.physics.formulas import against_capacity
from ringout.quantity.traced import Traced, Value


def watching(its: BankFacts) -> Iterator[Fact]:
    """What a shunt sees of everything that hangs on a bank, and how the monitors are set."""
    shunts = [part for part in its.case.parts.values() if part.kind == "shunt"]
    for shunt in shunts:
        if _on(its, shunt) and not _in_plus(its, shunt):
            yield from _seen_by(its, shunt)
    for monitor in its.case.with_role("monitor"):
        watched = [shunt for shunt in shunts if shunt.name in monitor.names.get("watches", ())]
        if not any(_on(its, shunt) for shunt in watched) and len(its.network.banks) > 1:
            continue
        ratio = against_capacity.of(
            monitor.leaf("capacity_set"), its.sum_over("capacity"), name=f"capacity set in {monitor.name}"
        )
        values: dict[str, Value] = {
            "capacity": ratio,
            "scale": monitor.leaf("scale_for"),
            "checked": monitor.leaf("checked"),
        }
        yield Fact("monitor_setting", {"monitor": monitor.name, "bank": its.bank.name}, values)


def _on(its: BankFacts, shunt: Part) -> bool:
    """Whether a shunt sits in a lead of this bank: of banks that share a negative, the nearest one's."""
    graph = its.network.graph
    ends = [end for end in (f"{shunt.name}.in", f"{shunt.name}.out") if end in graph]
    away: dict[str, int] = {}
    for end in ends:
        reached = nx.single_source_shortest_path_length(graph, end)
        for bank in its.network.banks:
            steps = [
                reached[f"{name}{pole}"]
                for name in bank.batteries
                for pole in "+-"
                if f"{name}{pole}" in reached
            ]
            away[bank.name] = min([*steps, away.get(bank.name, len(graph))])
    return bool(away) and away[its.bank.name] == min(away.values()) < len(graph)


def _in_plus(its: BankFacts, shunt: Part) -> bool:
    """Whether a shunt is drawn in a lead of the plus posts; as drawn, whatever is said of its pole."""
    posts = {f"{string[0]}+" for string in its.bank.strings}
    return any(its.network.net(f"{shunt.name}.{end}") & posts for end in ("in", "out"))


def _seen_by(its: BankFacts, shunt: Part) -> Iterator[Fact]:
    for part in its.case.with_role("inverter", "charger", "solar_controller", "dc_converter", "dc_load"):
        way = its.network.way(part, its.bank, "-")
        if way is None:
            continue
        passes = any(step.device == shunt.name for step in way)
        word = "yes" if passes else "no"
        seen = Traced(
            lambda *links, word=word: word if set(links) <= {"yes"} else "no",
            tuple(step.hop.there for step in way if step.hop),
            name=f"{part.name} seen by {shunt.name}",
            formula="the way from its negative to the battery passes the shunt",
            source="the wiring as written",
            widest=YES_NO,
        )
        keys = {"shunt": shunt.name, "part": part.name, "bank": its.bank.name}
        yield Fact("counted", keys, {"counted": seen})
