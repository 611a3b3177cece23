"""Facts of the battery monitor: what bypasses its shunt, and whether it is set for the bank it counts."""

from __future__ import annotations

from collections.abc import Iterator

from ringout.case.case import YES_NO, Part
from ringout.facts.banks import BankFacts
from ringout.facts.fact import Fact
from ringout.physics.formulas import against_capacity
from ringout.quantity.traced import Traced, Value


def watching(its: BankFacts) -> Iterator[Fact]:
    """What a shunt sees of everything that hangs on a bank, and how the monitors are set."""
    for shunt in its.case.parts.values():
        if shunt.kind == "shunt" and shunt.word("pole") != "plus":
            yield from _seen_by(its, shunt)
    for monitor in its.case.with_role("monitor"):
        ratio = against_capacity.of(
            monitor.leaf("capacity_set"), its.sum_over("capacity"), name=f"capacity set in {monitor.name}"
        )
        values: dict[str, Value] = {
            "capacity": ratio,
            "scale": monitor.leaf("scale_for"),
            "checked": monitor.leaf("checked"),
        }
        yield Fact("monitor_setting", {"monitor": monitor.name, "bank": its.bank.name}, values)


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
