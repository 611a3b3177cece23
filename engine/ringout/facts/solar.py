"""Facts of solar: what the panels of a controller could give, the volts of a string, coldest and hottest."""

from __future__ import annotations

from collections.abc import Iterator

from ringout.case.case import Case, Part
from ringout.facts.banks import BankFacts
from ringout.facts.fact import Fact
from ringout.facts.weather import coldest as coldest_of
from ringout.physics.formulas import (
    against_rating,
    cold_v,
    controller_output_a,
    string_a,
    string_v,
    times_w,
    total,
    total_w,
)
from ringout.physics.tables import constant
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice
from ringout.quantity.traced import Traced, Value, domain_of
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
    return [panel for row in rows(case, network, controller) for panel in row]


def rows(case: Case, network: Network, controller: Part) -> list[list[Part]]:
    """The panels of a controller in rows, each drawn in series behind the one whose lead ends at its plus input."""
    nets = network.net(f"{controller.name}.pv+")
    every = [part for part in case.parts.values() if part.kind == "solar_panel"]
    heads = [panel for panel in every if f"{panel.name}+" in nets]
    found = [[panel] for panel in every if f"{panel.name}-" in nets and panel not in heads]
    for head in heads:
        row = [head]
        for panel in row:  # grows while it is walked
            behind = network.net(f"{panel.name}-")
            row += [each for each in every if f"{each.name}+" in behind and each not in [*row, *heads]][:1]
        found.append(row)
    alone = len(case.with_role("solar_controller")) == 1
    return found or ([[panel] for panel in every] if alone and not nets else [])


def pushed(its: BankFacts, controller: Part) -> Traced:
    """The current that the panels of a controller could push into a bank."""
    power = [
        times_w.of(panel.leaf("count"), panel.leaf("power"), name=f"power of {panel.name}")
        for panel in panels(its.case, its.network, controller)
    ]
    total = total_w.of(*power, name=f"panels on {controller.name}")
    return controller_output_a.of(total, its.charging, name=f"current {controller.name} could give")


def strings(its: BankFacts, controller: Part) -> Iterator[Fact]:
    """One fact for every group of like panels on a controller; those in one row share its volts."""
    coldest, hottest = coldest_of(its.case), constant("panel_hot")
    for row in rows(its.case, its.network, controller):
        name = " + ".join(panel.name for panel in row)
        for panel in row:
            current = string_a.of(
                panel.leaf("in_parallel"), panel.leaf("short_circuit"), name=f"{panel.name} short circuit"
            )
            yield Fact(
                "panel_string",
                {"controller": controller.name, "panel": panel.name, "bank": its.bank.name},
                {
                    "voltage_cold": cold_v.of(
                        _row_v(row, "open_circuit", coldest, f"{name} by its slope"),
                        constant("cold_bend"),
                        name=f"{name} when coldest",
                    ),
                    "voltage_hot": _row_v(row, "max_power_voltage", hottest, f"{name} on a hot roof"),
                    "current": current,
                    "limit_voltage": controller.leaf("max_input_voltage"),
                    "limit_current": controller.leaf("max_input_current"),
                    "charging": its.charging,
                },
            )


def _row_v(row: list[Part], field: str, cell: Leaf, name: str) -> Value:
    """The volts of panels in one row at a cell temperature."""
    each = [
        string_v.of(
            panel.leaf("in_series"),
            panel.leaf(field),
            panel.leaf("voltage_coefficient"),
            cell,
            name=name if len(row) == 1 else panel.name,
        )
        for panel in row
    ]
    return each[0] if len(row) == 1 else total.of(*each, name=name, dimension="voltage")
