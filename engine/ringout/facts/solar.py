"""Facts of solar strings: their voltage on the coldest morning and on a hot roof, their current."""

from __future__ import annotations

from collections.abc import Iterator

from ringout.case.case import Part
from ringout.facts.banks import BankFacts
from ringout.facts.fact import Fact
from ringout.physics.formulas import string_a, string_v
from ringout.physics.tables import constant


def strings(its: BankFacts, controller: Part, panels: list[Part]) -> Iterator[Fact]:
    """One fact for every group of like panels on a controller."""
    coldest = its.case.surroundings.leaf("lowest")
    for panel in panels:
        series, parallel = panel.leaf("in_series"), panel.leaf("in_parallel")
        slope = panel.leaf("voltage_coefficient")
        yield Fact(
            "panel_string",
            {"controller": controller.name, "panel": panel.name, "bank": its.bank.name},
            {
                "voltage_cold": string_v.of(
                    series, panel.leaf("open_circuit"), slope, coldest, name=f"{panel.name} open circuit when coldest"
                ),
                "voltage_hot": string_v.of(
                    series,
                    panel.leaf("max_power_voltage"),
                    slope,
                    constant("panel_hot"),
                    name=f"{panel.name} at work on a hot roof",
                ),
                "current": string_a.of(parallel, panel.leaf("short_circuit"), name=f"{panel.name} short circuit"),
                "limit_voltage": controller.leaf("max_input_voltage"),
                "limit_current": controller.leaf("max_input_current"),
                "charging": its.charging,
            },
        )
