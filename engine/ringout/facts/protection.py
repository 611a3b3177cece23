"""Facts of protection: what guards each conductor, and whether a device can break the fault current."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from ringout.case.case import Hop, Part
from ringout.facts.banks import BankFacts, number
from ringout.facts.fact import Fact, Later
from ringout.physics.ampacity import carried
from ringout.physics.circuit import internal_ohm, way_ohm
from ringout.physics.formulas import against_rating, bank_ohm, fault_a, parallel_ohm, sum_a, times
from ringout.physics.tables import by_word, constant
from ringout.quantity.span import Span
from ringout.quantity.steady import steady
from ringout.quantity.traced import Point, Traced, Value
from ringout.system.zones import zones

NO_ENGINE = ("caravan", "camper_trailer", "horse_float", "slide_on", "cabin", "tiny_house")
"""Kinds of installation that have no engine space of their own for a cable to run through."""

Ampacity = Callable[[Hop], Value]


def protection(its: BankFacts, ampacity: Ampacity) -> Iterator[Fact]:
    """All facts of protection seen from one bank; `ampacity` tells what a conductor may carry."""
    case, network, bank = its.case, its.network, its.bank
    posts = {f"{name}{pole}" for name in bank.batteries for pole in "+-"}
    standing, region = network.supposed(bank), case.region
    for zone in zones(network, bank):
        if zone.own:
            continue
        guards = " + ".join(zone.guards)
        ratings = [rated(case.parts[name]) for name in zone.guards]
        rating = ratings[0] if len(ratings) == 1 else sum_a.of(*ratings, name=guards)
        for hop in zone.hops:
            if hop.a in posts and hop.b in posts:
                continue
            carries, name = ampacity(hop), f"{guards} against {hop.id}"
            guarded: dict[str, Value] = {
                "rating": rating,
                "ampacity": carries,
                "ratio": steady(against_rating, rating, carries, name=name, falls=(1,)),
                "length": hop.length,
                "region": region,
            }
            for guard in zone.guards:
                keys = {"device": guard, "run": hop.id, "bank": bank.name}
                yield Fact("guarded_run", keys, guarded, standing=standing)
    for device in network.reached_devices(bank):
        says = Later(("current", "interrupts"), partial(_told, its, device))
        yield Fact("fault_current", {"device": device, "bank": bank.name}, says, standing=standing)


def hop_ampacity(hop: Hop, *, engine_aboard: bool = True) -> Value:
    """What one conductor may carry, by size, insulation, and whether it runs through an engine space."""
    insulation = hop.leaf("insulation")
    name = f"ampacity of {hop.id}"
    cool = carried(hop.size, insulation, engine_space=False, name=name)
    if not engine_aboard:
        return cool
    hot = carried(hop.size, insulation, engine_space=True, name=name)

    def by_place(engine_space: Point, inside: Point, outside: Point) -> Point:
        return inside if engine_space == "yes" else outside

    return Traced(
        by_place,
        (hop.leaf("engine_space"), hot, cool),
        name=name,
        dimension=cool.dimension,
        formula="table by size and insulation class, times the factor where it runs through an engine space",
        source=cool.source,
    )


def rated(guard: Part) -> Value:
    """The rating (A) of a device, or of several identical ones side by side written as one."""
    rating, count = guard.leaf("rating"), guard.leaf("count")
    if count.domain == Span(1.0, 1.0):
        return rating
    return times.of(count, rating, name=f"{guard.name} together", dimension="current")


def _told(its: BankFacts, device: str, what: str) -> Value:
    """What passes a device at a dead short, or what it can break."""
    return _fault(its, device) if what == "current" else interrupts(its, device)


def _fault(its: BankFacts, device: str) -> Value:
    """Current of a dead short right behind the device, the battery between half and full."""
    series = number(len(its.bank.strings[0]))
    name = f"internal resistance of {its.bank.name}"
    if len({battery.leaf("internal").path for battery in its.batteries}) == 1:
        bank = steady(bank_ohm, internal_ohm(its.batteries[0]), series, its.strings, name=name, falls=(2,))
    else:
        each = [
            steady(bank_ohm, internal_ohm(battery), series, strings, name=f"{battery.name} inside", falls=(2,))
            for strings, battery in its.counted()
        ]
        bank = steady(parallel_ohm, *each, name=name)
    lead = way_ohm(its.case, [its.network.way_to_device(its.bank, device)], f"lead to {device}")
    name, back = f"fault current at {device}", constant("fault_return")
    return steady(fault_a, its.rested, bank, lead, back, name=name, falls=(1, 2, 3))


def interrupts(its: BankFacts, device: str) -> Value:
    """The current a device can break: as stated, else what its family is known for."""
    part = its.case.parts[device]
    stated = part.leaf("interrupts")
    if stated.known or "family" not in part.form.fields:
        return stated
    return by_word("fuse", "interrupts", part.leaf("family"))
