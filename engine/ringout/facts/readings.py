"""Facts from readings: a reading speaks of the system as it stood then, and only as far as it can be trusted.

Readings of one instant share a `set`; only those are added or subtracted. How far a reading can be trusted is known by
then (see `trust`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from ringout.case.case import Part, Taken
from ringout.facts.banks import BankFacts
from ringout.facts.fact import Fact
from ringout.facts.trust import above, doubtful, fits
from ringout.facts.way_read import surprising
from ringout.physics.circuit import way_ohm
from ringout.physics.formulas import (
    against_equal,
    against_rating,
    at_12v,
    drop_v,
    explained_a,
    hours_to_flat_s,
    net_a,
    part_of_sum,
    under_load_v,
    unexplained_w,
)
from ringout.physics.read import either_v
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import Value, domain_of
from ringout.system.network import Step


def read_under_load(its: BankFacts, load: Part, appliance: Part, worked_out: Value) -> Value:
    """The volts at a load while an appliance runs, from a reading between its feeding point and its own lead.

    Such a reading names the appliance among its `loads` and was taken at two terminals that the ways from the load
    to the bank pass. Where there is none it is as worked out.
    """
    for taken in its.case.readings:
        points, loads = taken.reading.points, taken.reading.loads.replace(",", " ").split()
        if taken.reading.what != "voltage" or len(points) != 2 or appliance.name not in loads:
            continue
        leads = [_lead_to(its, load, pole, point) for pole, point in zip("+-", points, strict=True)]
        if leads[0] is None or leads[1] is None:
            continue
        ohm = way_ohm(
            its.case, [leads[0], leads[1]], f"lead of {load.name} up to where {taken.name} was read"
        )
        lost = drop_v.of(load.leaf("current"), ohm, name=f"lost in the lead of {load.name}")
        return _read_or_worked_out(taken, lost, worked_out, f"volts at {load.name} while {appliance.name} runs")
    return worked_out


def _read_or_worked_out(taken: Taken, lost: Value, worked_out: Value, name: str) -> Value:
    """Volts as read where that was repeated or fits; else either, and what is worked out to be wrong stays wrong."""
    volts = under_load_v.of(taken.value, lost, name=f"{name}, from {taken.name}")
    sure = replace(taken, value=replace(taken.value, domain=domain_of(volts)))
    if taken.repeated or (taken.value.known and fits(sure, domain_of(worked_out))):
        return volts
    read = taken.value.doubt or taken.value
    volts = under_load_v.of(replace(read, path=f"{read.path}.once"), lost, name=f"{name}, from {taken.name}")
    which = Leaf(
        f"{read.path}.counts",
        Choice(frozenset({WORKED_OUT, AS_READ})),
        word=Choice(frozenset({WORKED_OUT})),
        doubt=replace(read, domain=Choice(frozenset({AS_READ})), dimension=""),
    )
    return either_v.of(which, worked_out, volts, name=name)


WORKED_OUT, AS_READ = "worked out", "as read"


def _lead_to(its: BankFacts, load: Part, pole: str, point: str) -> list[Step] | None:
    """The way from a load toward the bank as far as a terminal, None where it does not pass there."""
    here = f"{load.name}{pole}"
    lead: list[Step] = []
    for step in its.network.way(load, its.bank, pole) or []:
        if here == point:
            return lead
        lead.append(step)
        if step.hop is not None:
            here = step.hop.b if here == step.hop.a else step.hop.a
        else:
            here = f"{step.device}.in" if here.endswith(".out") else f"{step.device}.out"
    return lead if here == point else None


class ReadingFacts:
    """Makes the facts that readings of one bank give."""

    def __init__(self, its: BankFacts, leads: Mapping[str, Fact]) -> None:
        self.case = its.case
        self.its = its
        self.leads = leads
        self.readings = its.case.readings

    def all(self) -> Iterator[Fact]:
        """Every fact that the readings give about this bank and what hangs on it."""
        for name in dict.fromkeys(taken.reading.set for taken in self.readings if taken.reading.set):
            if self._away(name):
                yield from self._loop(name)
            yield from self._shares(name)
        yield from self._drops()
        for battery in self.its.batteries:
            for taken in self._of(battery.name, "capacity"):
                printed = battery.leaf("capacity").as_stated
                # A battery that wore is no surprise, one that holds more than is printed on it is.
                grown = isinstance(printed.domain, Span) and above(taken, printed.domain)
                value = doubtful(taken).value if grown and not taken.repeated else taken.value
                left = against_rating.of(value, printed, name=f"capacity of {battery.name}")
                keys = {"battery": battery.name, "reading": taken.name}
                yield Fact("capacity_reading", keys, {"left": left, "printed": printed})
        for taken in self.readings:
            if (
                taken.reading.what == "current"
                and taken.reading.state in QUIET
                and self._is_bank(taken.reading.of)
            ):
                keys = {"bank": self.its.bank.name, "reading": taken.name}
                yield Fact("quiet_draw", keys, {"current": taken.value})

    def _of(self, part: str, what: str, set: str = "") -> list[Taken]:
        found = [each for each in self.readings if each.reading.of == part and each.reading.what == what]
        return [each for each in found if not set or each.reading.set == set]

    def _is_bank(self, name: str) -> bool:
        return name == self.its.bank.name or name in self.its.bank.batteries

    def _away(self, set: str) -> bool:
        """Whether a set was read away from shore, as far as its readings say."""
        states = " ".join(taken.reading.state for taken in self.readings if taken.reading.set == set)
        return any(word in states.replace("_", " ") for word in AWAY)

    def _loop(self, set: str) -> Iterator[Fact]:
        """What goes into an inverter and comes back from a charger at one instant."""
        for inverter in self.case.with_role("inverter"):
            for charger in self.case.with_role("charger"):
                into, back = self._of(inverter.name, "current", set), self._of(charger.name, "current", set)
                if charger is inverter or not into or not back:
                    continue
                yield self._loop_fact(inverter, charger, into[0], back[0], set)

    def _loop_fact(self, inverter: Part, charger: Part, into: Taken, back: Taken, set: str) -> Fact:
        its = self.its
        volts_in = self._volts(inverter, set, its.loaded)
        volts_back = self._volts(charger, set, its.charging)
        lost = "charger_efficiency" if "charger_efficiency" in charger.form.fields else "efficiency"
        explained = explained_a.of(
            back.value,
            volts_back,
            volts_in,
            charger.leaf(lost),
            inverter.leaf("efficiency"),
            inverter.leaf("idle"),
            name=f"what {charger.name} and {inverter.name} explain",
        )
        net = net_a.of(into.value, back.value, name="net drain as read")
        elsewhere = net_a.of(into.value, explained, name="what goes elsewhere")
        return Fact(
            "loop_reading",
            {"charger": charger.name, "inverter": inverter.name, "bank": its.bank.name, "set": set},
            {
                "out": into.value,
                "back": back.value,
                "net": net,
                "hours": hours_to_flat_s.of(its.usable(), net, name="time until flat at the drain as read"),
                "explained": explained,
                "elsewhere": elsewhere,
                "elsewhere_power": unexplained_w.of(elsewhere, volts_in, name="power that goes elsewhere"),
            },
        )

    def _volts(self, part: Part, set: str, usual: Value) -> Value:
        """The volts read at a part; the usual ones where nothing that carries current can have what was read."""
        read = [taken.value for taken in self._of(part.name, "voltage", set)]
        return next((leaf for leaf in read if isinstance(leaf.domain, Span) and leaf.domain.lo > 0), usual)

    def _shares(self, set: str) -> Iterator[Fact]:
        """The currents of parallel batteries, clamped at one instant."""
        read = {string[0]: self._of(string[0], "current", set) for string in self.its.bank.strings}
        if len(read) < 2 or not all(read.values()):
            return
        first = [each[0] for each in read.values()]
        currents = [taken.value.doubt or taken.value for taken in first]
        spans = [leaf.domain for leaf in currents if isinstance(leaf.domain, Span)]
        if not (all(span.lo > 0 for span in spans) or all(span.hi < 0 for span in spans)):
            return  # currents that may run against each other have no parts of a sum
        in_doubt = [taken.value.doubt for taken in first if taken.value.doubt is not None]
        for battery, own in zip(read, currents, strict=True):
            part = part_of_sum.of(own, *currents, name=f"part of {battery} as read")
            name = f"{battery} against an equal share, as read"
            ratio: Value = against_equal.of(part, self.its.strings, name=name)
            if in_doubt:
                doubt = own if own in in_doubt else in_doubt[0]
                doubt = replace(doubt, domain=domain_of(ratio), dimension="ratio")
                ratio = Leaf(f"{battery}.share.as_read", Span(0.0, math.inf), "ratio", doubt=doubt)
            keys = {"bank": self.its.bank.name, "battery": battery, "set": set}
            yield Fact("share_reading", keys, {"ratio": ratio})

    def _drops(self) -> Iterator[Fact]:
        """A voltage drop on the way to a part, with what is usual at 12 V; it stands by itself, in a set or not."""
        for part in self.case.parts.values():
            for taken in self._of(part.name, "drop"):
                if (lead := self.leads.get(part.name)) and surprising(self.its, part, taken, lead):
                    taken = doubtful(taken)
                drop = at_12v.of(
                    taken.value, self.its.nominal, name=f"drop to {part.name} as read, at 12 V"
                )
                keys = {"part": part.name, "bank": self.its.bank.name, "reading": taken.name}
                yield Fact("drop_reading", keys, {"drop": taken.value, "drop_12": drop})


AWAY = ("away", "off-grid", "off grid", "shore unplugged")
"""Words of a state that say shore was not connected."""
QUIET = ("everything off", "all off", "storage", "dead quiet")
"""States in which nothing should draw."""
