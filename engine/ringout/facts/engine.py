"""Facts of the engine's supply: what the in-vehicle chargers of one alternator take together, and by which leads.

Each charger asks for its full input current whatever the others do: two that suit an alternator one by one need not
suit it together. Which alternator a charger hangs on follows from the drawing; where it is not drawn it is the only
one there is, or one of them.
"""

from __future__ import annotations

from collections.abc import Iterator

from ringout.case.case import YES_NO, Case, Part
from ringout.facts.fact import Fact
from ringout.facts.flows import several
from ringout.physics.circuit import way_ohm
from ringout.physics.feeders import times_a
from ringout.physics.formulas import at_12v, charge_total_a, counted_a, drop_v, volt_class_v
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice
from ringout.quantity.steady import steady
from ringout.quantity.traced import Point, Traced, Value, domain_of
from ringout.system.network import WRITTEN, Network


def engine_loads(case: Case, network: Network) -> Iterator[Fact]:
    """Each in-vehicle charger against each alternator."""
    chargers = [part for part in case.parts.values() if part.kind == "dc_charger"]
    alternators = [part for part in case.parts.values() if part.kind == "alternator"]
    own = {part.name: _together(part, "input") for part in chargers}
    for alternator in alternators:
        on = {part.name: _on(case, network, part, alternator, alternators) for part in chargers}
        there = [name for name, value in on.items() if domain_of(value) != _NO]
        counted = [counted_a.of(own[name], on[name], name=f"{name} on {alternator.name}") for name in sorted(there)]
        for charger in chargers:
            together = charge_total_a.of(*counted, name=f"all in-vehicle chargers on {alternator.name}")
            values: dict[str, Value] = {
                "on": on[charger.name],
                "own": own[charger.name],
                "all": together if len(counted) > 1 else own[charger.name],
                "hot": _together(alternator, "hot_output"),
                "idle": _together(alternator, "idle_output"),
            }
            yield Fact("engine_load", {"charger": charger.name, "alternator": alternator.name}, values)


def engine_leads(case: Case, network: Network) -> Iterator[Fact]:
    """The two conductors between an in-vehicle charger and what it takes from, where both are written."""
    sources = [part for part in case.parts.values() if part.kind == "alternator" or part.acts_as("storage")]
    for charger in (part for part in case.parts.values() if part.kind == "dc_charger"):
        ways = [network.way_in(charger, sources, pole) for pole in "+-"]
        if ways[0] is None or ways[1] is None:
            continue
        current, name = _together(charger, "input"), f"drop to the input of {charger.name}"
        resistance = way_ohm(case, [ways[0], ways[1]], f"lead to the input of {charger.name}")
        drop = steady(drop_v, current, resistance, name=name)
        told = charger.leaf("nominal_in")
        nominal = volt_class_v.of(told, name=f"input volts of {charger.name}") if told.known else case.dc_volts
        values: dict[str, Value] = {
            "current": current,
            "drop": drop,
            "drop_12": steady(at_12v, drop, nominal, name=f"{name} at 12 V", falls=(1,)),
        }
        standing = tuple(leaf for way in (ways[0], ways[1]) for leaf in network.unseen(way))
        yield Fact("engine_lead", {"charger": charger.name}, values, standing=standing)


def _together(part: Part, field: str) -> Value:
    """A current (A) of a part, or of several alike written as one."""
    return several(times_a, part, part.leaf(field), f"{field} of {part.name}, all together")


def _on(case: Case, network: Network, charger: Part, alternator: Part, all_of_them: list[Part]) -> Value:
    """yes/no: whether a charger takes from an alternator."""
    name = f"{charger.name} on {alternator.name}"
    inlet = network.net(f"{charger.name}.in+")
    drawn = [each for each in all_of_them if network.net(f"{each.name}+") & inlet]
    posts = {f"{battery.name}+" for battery in case.with_role("storage")}
    if drawn:
        return _as_drawn(name, alternator in drawn)
    if network.net(f"{alternator.name}+") & posts and inlet & posts and not case.with_role("link"):
        return _as_drawn(name, on=False)  # it takes from a battery that this alternator does not charge
    if len(all_of_them) == 1:
        return _as_drawn(name, on=True)
    which = Leaf(f"{charger.name}.alternator", Choice(frozenset(each.name for each in all_of_them)), spot=charger.spot)

    def fits(which: Point) -> Point:
        return "yes" if which == alternator.name else "no"

    return Traced(fits, (which,), name=name, formula="not drawn: one of them", source=WRITTEN, widest=YES_NO)


def _as_drawn(name: str, on: bool) -> Value:
    word = "yes" if on else "no"
    return Traced(lambda: word, (), name=name, formula="as drawn, or the only one", source=WRITTEN, widest=YES_NO)


_NO = Choice(frozenset({"no"}))
