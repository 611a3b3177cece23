"""Facts of solar: what the panels of a controller could give, the volts of a string, coldest and hottest."""

from __future__ import annotations

from collections.abc import Iterator

from ringout.case.case import Case, Part
from ringout.facts.banks import BankFacts
from ringout.facts.fact import Fact
from ringout.physics.formulas import (
    against_rating,
    cold_v,
    controller_output_a,
    string_a,
    string_v,
    times_w,
    total_w,
)
from ringout.physics.tables import constant
from ringout.quantity.span import Choice
from ringout.quantity.traced import Traced, domain_of
from ringout.system.network import Network


def solar(its: BankFacts) -> Iterator[Fact]:
    """Every controller on a bank that has panels: what they could push, and their strings."""
    for controller in its.case.with_role("solar_controller"):
        on = domain_of(its.network.on_bank(controller, its.bank)) != Choice(frozenset({"no"}))
        if on and panels(its.case, its.network, controller):
            current = pushed(its, controller)
            rating, name = controller.leaf("rating"), f"{controller.name} against rating"
            over = against_rating.of(current, rating, name=name)
            keys = {"controller": controller.name, "bank": its.bank.name}
            yield Fact("solar_yield", keys, {"current": current, "over": over})
            yield from strings(its, controller)


def panels(case: Case, network: Network, controller: Part) -> list[Part]:
    """The panels wired to a controller; all of them where there is one controller and none is wired."""
    nets = network.net(f"{controller.name}.pv+")
    every = [part for part in case.parts.values() if part.kind == "solar_panel"]
    wired = [panel for panel in every if f"{panel.name}+" in nets or f"{panel.name}-" in nets]
    alone = len(case.with_role("solar_controller")) == 1
    return wired or (every if alone and not nets else [])


def pushed(its: BankFacts, controller: Part) -> Traced:
    """The current that the panels of a controller could push into a bank."""
    power = [
        times_w.of(panel.leaf("count"), panel.leaf("power"), name=f"power of {panel.name}")
        for panel in panels(its.case, its.network, controller)
    ]
    total = total_w.of(*power, name=f"panels on {controller.name}")
    return controller_output_a.of(total, its.charging, name=f"current {controller.name} could give")


def strings(its: BankFacts, controller: Part) -> Iterator[Fact]:
    """One fact for every group of like panels on a controller."""
    coldest, hottest = its.case.surroundings.leaf("lowest"), constant("panel_hot")
    for panel in panels(its.case, its.network, controller):
        series, parallel = panel.leaf("in_series"), panel.leaf("in_parallel")
        slope, name = panel.leaf("voltage_coefficient"), panel.name
        at_rest, at_work = panel.leaf("open_circuit"), panel.leaf("max_power_voltage")
        yield Fact(
            "panel_string",
            {"controller": controller.name, "panel": panel.name, "bank": its.bank.name},
            {
                "voltage_cold": cold_v.of(
                    string_v.of(series, at_rest, slope, coldest, name=f"{name} by its slope"),
                    constant("cold_bend"),
                    name=f"{name} when coldest",
                ),
                "voltage_hot": string_v.of(series, at_work, slope, hottest, name=f"{name} on a hot roof"),
                "current": string_a.of(parallel, panel.leaf("short_circuit"), name=f"{name} short circuit"),
                "limit_voltage": controller.leaf("max_input_voltage"),
                "limit_current": controller.leaf("max_input_current"),
                "charging": its.charging,
            },
        )
