"""Facts of the DC side beyond the banks themselves: leads, converters, loops, what sags when what runs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from ringout.case.case import Case, Hop, Part
from ringout.facts.banks import BankFacts
from ringout.facts.engine import engine_leads, engine_loads
from ringout.facts.fact import Fact
from ringout.facts.flows import FlowFacts, current_of, full_current, several
from ringout.facts.links import links
from ringout.facts.protection import NO_ENGINE, hop_ampacity, protection
from ringout.facts.readings import ReadingFacts, read_under_load
from ringout.facts.solar import panels, pushed, solar
from ringout.facts.source_leads import fuse_leads, link_ends, mate_leads, undrawn_links
from ringout.facts.unjoined import unjoined
from ringout.facts.watching import watching
from ringout.facts.way_read import way_as_read
from ringout.physics.circuit import way_ohm
from ringout.physics.feeders import Draw, times_a
from ringout.physics.flow import Beside
from ringout.physics.formulas import (
    at_12v,
    charge_total_a,
    counted_a,
    counted_w,
    discharge_total_a,
    drop_share,
    drop_v,
    heat_w,
    hours_to_flat_s,
    idle_a,
    inverter_input_a,
    loop_net_a,
    loop_out_a,
    per_capacity,
    times_w,
    total_w,
)
from ringout.quantity.span import Choice, Span
from ringout.quantity.steady import steady
from ringout.quantity.traced import Formula, Traced, Value, domain_of
from ringout.system.network import Network
from ringout.system.states import states
from ringout.system.supply import Supply

LEAD_ROLES = ("inverter", "charger", "solar_controller", "dc_converter", "dc_load")


@dataclass(slots=True)
class DcFacts:
    """Makes the facts of the DC side of one case."""

    case: Case
    network: Network
    supply: Supply
    ampacities: dict[str, Value] = field(default_factory=dict)

    def ampacity(self, hop: Hop) -> Value:
        """What a conductor may carry, made once."""
        if hop.id not in self.ampacities:
            aboard = self.case.frame.kind not in NO_ENGINE
            self.ampacities[hop.id] = hop_ampacity(hop, engine_aboard=aboard)
        return self.ampacities[hop.id]

    def all(self) -> Iterator[Fact]:
        """Every fact of the DC side."""
        for bank in self.network.banks:
            its = BankFacts(self.case, self.network, bank)
            yield from its.all()
            yield from protection(its, self.ampacity)
            yield from fuse_leads(its)
            yield from mate_leads(its)
            yield from link_ends(its)
            yield from self.sources(its)
            yield self.charge_together(its)
            yield self.inverters_together(its)
            flows = FlowFacts(its, self.ampacity)
            yield from self.inverters(flows)
            yield from flows.all()
            leads = {fact.keys["part"]: fact for fact in self.leads(its)}
            yield from leads.values()
            yield from solar(its)
            yield from self.sharing(its)
            yield from watching(its)
            yield from ReadingFacts(its, leads).all()
        yield from unjoined(self.case, self.supply)
        yield from links(self.case, self.network)
        yield from engine_loads(self.case, self.network)
        yield from engine_leads(self.case, self.network)
        yield from undrawn_links(self.network)
        for id, ampacity in self.ampacities.items():
            yield Fact("conductor", {"run": id}, {"ampacity": ampacity, "length": self.case.hops[id].length})
        for inverter in self.case.with_role("inverter"):
            yield Fact("together", {"inverter": inverter.name}, {"power": self.together(inverter)})

    # -- charge sources --------------------------------------------------------------------------------------

    def sources(self, its: BankFacts) -> Iterator[Fact]:
        """Every charge source against this bank, its voltages brought to 12 V."""
        for source in self.case.with_role("charger", "solar_controller", "dc_converter"):
            if "absorption" not in source.form.fields:
                continue  # it lowers a voltage and charges by no profile
            current = self.charge_current(source)
            values: dict[str, Value] = {
                "on": self.network.on_bank(source, its.bank),
                "current": current,
                "rate": per_capacity.of(current, its.sum_over("capacity"), name=f"{source.name} rate"),
            }
            for key in ("absorption", "float", "equalise_voltage"):
                if key in source.form.fields:
                    name = "equalise_12" if key == "equalise_voltage" else f"{key}_12"
                    values[name] = at_12v.of(source.leaf(key), its.nominal, name=f"{source.name} {key} at 12 V")
            yield Fact("charging", {"source": source.name, "bank": its.bank.name}, values)

    @staticmethod
    def charge_current(source: Part) -> Value:
        """The most a charge source gives, or several alike written as one."""
        one = source.leaf("output" if "output" in source.form.fields else "rating")
        return several(times_a, source, one, f"{source.name}, all together")

    # -- inverters -------------------------------------------------------------------------------------------

    def inverters(self, flows: FlowFacts) -> Iterator[Fact]:
        """Every inverter on this bank: what it draws, what a loop through it costs, what sags meanwhile."""
        its = flows.its
        for inverter in self.case.with_role("inverter"):
            on = self.network.on_bank(inverter, its.bank)
            current = full_current(inverter, its)
            one = idle_a.of(inverter.leaf("idle"), its.loaded, name=f"{inverter.name} idle current")
            idle = several(times_a, inverter, one, f"{inverter.name} idle current, all together")
            keys = {"inverter": inverter.name, "bank": its.bank.name}
            yield Fact("inverter_draw", keys, {"on": on, "current": current, "idle_current": idle})
            if domain_of(on) == _NO:
                continue
            yield from self.loops(inverter, its)
            yield from self.sags(inverter, flows)

    def sharing(self, its: BankFacts) -> Iterator[Fact]:
        """How the strings of this bank share the current of the heaviest inverter on it."""
        on = [
            (domain_of(current), inverter, current)
            for inverter in self.case.with_role("inverter")
            if domain_of(self.network.on_bank(inverter, its.bank)) != _NO
            for current in [full_current(inverter, its)]
        ]
        if on:
            # Of two alike the first in order of name: which was written first says nothing.
            by_name = sorted(on, key=lambda each: each[1].name)
            _, heaviest, current = max(by_name, key=lambda each: each[0].hi if isinstance(each[0], Span) else 0.0)
            yield from its.sharing(heaviest, current)

    def loops(self, inverter: Part, its: BankFacts) -> Iterator[Fact]:
        for charger in self.case.with_role("charger"):
            if charger is inverter:
                continue
            flow = (
                charger.leaf("output"),
                its.charging,
                charger.leaf("charger_efficiency" if "charger_efficiency" in charger.form.fields else "efficiency"),
                inverter.leaf("efficiency"),
                inverter.leaf("idle"),
            )
            name = f"{charger.name} on {inverter.name}"
            net = loop_net_a.of(*flow, name=f"net drain, {name}")
            yield Fact(
                "loop_cost",
                {"charger": charger.name, "inverter": inverter.name, "bank": its.bank.name},
                {
                    "out": loop_out_a.of(*flow, name=f"current into {inverter.name}, {name}"),
                    "net": net,
                    "heat": heat_w.of(its.charging, net, name=f"heat, {name}"),
                    "hours": hours_to_flat_s.of(its.usable(), net, name=f"time until flat, {name}"),
                },
            )

    def sags(self, inverter: Part, flows: FlowFacts) -> Iterator[Fact]:
        """The voltage at every DC load while an appliance runs on this inverter, nothing else beside."""
        its, ends = flows.its, flows.ends.get(inverter.name)
        if ends is None or flows.feeders.core is None or not flows.across(inverter.name):
            return
        for appliance in self.case.with_role("appliance"):
            fed = self.supply.fed_by(appliance, inverter, states()["away_on"])
            if domain_of(fed) == _NO:
                continue
            power, efficiency = appliance.leaf("power"), inverter.leaf("efficiency")
            name = f"{appliance.name} on DC"
            amps = steady(inverter_input_a, power, its.loaded, efficiency, name=name, falls=(1, 2))
            other = Beside(flows.feeders, Draw(appliance.name, *ends, amps), its.rested)
            for load in (self.case.parts[name] for name in flows.loads):
                keys = {"load": load.name, "appliance": appliance.name, "inverter": inverter.name}
                volts = read_under_load(its, load, appliance, flows.while_runs(load, other))
                yield Fact("sag", keys, {"volts": volts, "fed": fed}, standing=self.network.supposed(its.bank))

    def together(self, inverter: Part) -> Traced:
        """The appliances on an inverter that run at one time."""
        counted: list[Value] = []
        for appliance in self.case.with_role("appliance"):
            fed = self.supply.fed_by(appliance, inverter, states()["away_on"])
            if domain_of(fed) == _NO or "together" not in appliance.form.fields:
                continue
            one = times_w.of(appliance.leaf("count"), appliance.leaf("power"), name=f"power of {appliance.name}")
            runs = appliance.leaf("together")
            counted.append(counted_w.of(one, runs, fed, name=appliance.name, widest=_none_or(one, runs, fed)))
        return summed(total_w, counted, f"run together on {inverter.name}")

    # -- leads -----------------------------------------------------------------------------------------------

    def leads(self, its: BankFacts) -> Iterator[Fact]:
        """The two conductors between this bank and what hangs on it, where both are written."""
        for part in self.case.with_role(*LEAD_ROLES):
            role = next(each for each in LEAD_ROLES if part.acts_as(each))
            ways = [self.network.way(part, its.bank, pole) for pole in "+-"]
            if ways[0] is None or ways[1] is None:
                continue
            current = self.lead_current(part, role, its)
            sized = way_ohm(self.case, [ways[0], ways[1]], f"lead of {part.name}")
            resistance = way_as_read(its, part, [*ways[0], *ways[1]], sized)
            drop = steady(drop_v, current, resistance, name=f"drop to {part.name}")
            at_12, share = f"drop to {part.name} at 12 V", f"drop to {part.name} as a share"
            yield Fact(
                "lead",
                {"part": part.name, "bank": its.bank.name},
                {
                    "resistance": resistance,
                    "current": current,
                    "drop": drop,
                    "drop_12": steady(at_12v, drop, its.nominal, name=at_12, falls=(1,)),
                    "drop_share": steady(drop_share, drop, its.nominal, name=share, falls=(1,)),
                },
                known={"role": role},
                standing=tuple(leaf for way in (ways[0], ways[1]) for leaf in self.network.unseen(way)),
            )

    def lead_current(self, part: Part, role: str, its: BankFacts) -> Value:
        """The current that the lead of a part is judged at."""
        if role == "inverter":
            return full_current(part, its)
        if role == "dc_load":
            return current_of(part, its)
        if role == "solar_controller":
            rating, its_panels = part.leaf("rating"), panels(self.case, self.network, part)
            if not rating.known and its_panels:
                return pushed(its, part)
            return several(times_a, part, rating, f"{part.name}, all together")
        return self.charge_current(part)

    def charge_together(self, its: BankFacts) -> Fact:
        """All charge sources of a bank at full output at one time."""
        counted = [
            counted_a.of(self.charge_current(source), self.network.on_bank(source, its.bank), name=source.name)
            for source in self.case.with_role("charger", "solar_controller", "dc_converter")
            if "absorption" in source.form.fields
        ]
        current = summed(charge_total_a, counted, f"all charge sources of {its.bank.name}")
        return Fact("charge_together", {"bank": its.bank.name}, {"current": current})

    def inverters_together(self, its: BankFacts) -> Fact:
        """All inverters of a bank at their ratings at one time."""
        counted = [
            counted_a.of(full_current(inverter, its), self.network.on_bank(inverter, its.bank), name=inverter.name)
            for inverter in self.case.with_role("inverter")
        ]
        current = summed(discharge_total_a, counted, f"all inverters of {its.bank.name}")
        return Fact("inverters_together", {"bank": its.bank.name}, {"current": current})


def _none_or(power: Value, *words: Value) -> Span:
    """The range of what counts only under some words: all of it where they are surely yes, else from nothing."""
    span = domain_of(power)
    assert isinstance(span, Span)
    return span if all(domain_of(word) == _YES for word in words) else Span(0.0, span.hi)


def summed(formula: Formula, counted: Sequence[Value], name: str) -> Traced:
    """A sum of what counts only under open words; too many of them make it the least to the most."""
    spans = [span for span in map(domain_of, counted) if isinstance(span, Span)]
    return Traced(
        formula.fn,
        tuple(counted),
        name=name,
        dimension=formula.dimension,
        formula=formula.formula,
        source=formula.source,
        widest=Span(sum(span.lo for span in spans), sum(span.hi for span in spans)),
    )


_YES, _NO = Choice(frozenset({"yes"})), Choice(frozenset({"no"}))
