"""Facts from readings: a reading speaks of the system as it stood then, and only as far as it can be trusted.

Readings of one instant share a `set`; only those are added or subtracted. A reading that jumped, or that
contradicts another of the same thing, is doubtful: it suggests, and settles nothing until it was repeated.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ringout.case.case import Case, Part, Taken
from ringout.case.moment import moment
from ringout.facts.banks import BankFacts
from ringout.facts.fact import Fact
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
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Span
from ringout.quantity.traced import Traced, Value
from ringout.system.network import Step

AGREE = 0.1
"""Two readings of one thing agree within this part of the larger: clamp and meter classes, common practice."""


def as_found(case: Case) -> list[Taken]:
    """The readings of the case as found: those taken before any change, and no trial runs."""
    changes = [at for changed in case.frame.changed if (at := moment(changed.at))]
    first = min(changes, default=None)
    return [
        taken
        for taken in case.readings
        if taken.reading.round == "found"
        and (first is None or (at := moment(taken.reading.at)) is None or at < first)
    ]


def trusted(taken: Taken, others: list[Taken]) -> Leaf:
    """The value of a reading; doubtful ones become a hint over the widest range, until a repeat agrees."""
    repeats = [
        each for each in others if each.reading.repeats == taken.name and _agree(taken.value, each.value)
    ]
    against = [
        each for each in others if each.reading.repeats == taken.name and not _agree(taken.value, each.value)
    ]
    doubtful = (taken.reading.steady is False or bool(against)) and not repeats
    if not doubtful or not taken.value.known:
        return taken.value
    wide = Span(-1e6, 1e6)
    return replace(taken.value, domain=wide, known=False, hint=taken.value.domain, origin=Origin.ASSUMED)


def _agree(one: Leaf, other: Leaf) -> bool:
    a, b = one.domain, other.domain
    if not isinstance(a, Span) or not isinstance(b, Span):
        return a == b
    return abs(a.lo - b.lo) <= AGREE * max(abs(a.lo), abs(b.lo))


def read_under_load(its: BankFacts, load: Part, appliance: Part) -> Traced | None:
    """The volts at a load while an appliance runs, from a reading between its feeding point and its own lead.

    Such a reading names the appliance among its `loads` and was taken at two terminals that the ways from the load
    to the bank pass. None where there is none: then the network is worked out.
    """
    readings = as_found(its.case)
    for taken in readings:
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
        value = trusted(taken, readings)
        return under_load_v.of(
            value, lost, name=f"volts at {load.name} while {appliance.name} runs, from {taken.name}"
        )
    return None


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

    def __init__(self, case: Case, its: BankFacts, readings: list[Taken]) -> None:
        self.case = case
        self.its = its
        self.readings = readings

    def all(self) -> Iterator[Fact]:
        """Every fact that the readings give about this bank and what hangs on it."""
        for name in dict.fromkeys(taken.reading.set for taken in self.readings if taken.reading.set):
            if self._away(name):
                yield from self._loop(name)
            yield from self._shares(name)
        yield from self._drops()
        for battery in self.its.batteries:
            for taken in self._of(battery.name, "capacity"):
                left = against_rating.of(
                    self.value(taken), battery.leaf("capacity"), name=f"capacity of {battery.name}"
                )
                yield Fact(
                    "capacity_reading", {"battery": battery.name, "reading": taken.name}, {"left": left}
                )
        for taken in self.readings:
            if (
                taken.reading.what == "current"
                and taken.reading.state in QUIET
                and self._is_bank(taken.reading.of)
            ):
                keys = {"bank": self.its.bank.name, "reading": taken.name}
                yield Fact("quiet_draw", keys, {"current": self.value(taken)})

    def value(self, taken: Taken) -> Leaf:
        """A reading's value as far as it can be trusted."""
        return trusted(taken, self.readings)

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
            self.value(back),
            volts_back,
            volts_in,
            charger.leaf(lost),
            inverter.leaf("efficiency"),
            inverter.leaf("idle"),
            name=f"what {charger.name} and {inverter.name} explain",
        )
        net = net_a.of(self.value(into), self.value(back), name="net drain as read")
        elsewhere = net_a.of(self.value(into), explained, name="what goes elsewhere")
        return Fact(
            "loop_reading",
            {"charger": charger.name, "inverter": inverter.name, "bank": its.bank.name, "set": set},
            {
                "out": self.value(into),
                "back": self.value(back),
                "net": net,
                "hours": hours_to_flat_s.of(its.usable(), net, name="time until flat at the drain as read"),
                "explained": explained,
                "elsewhere": elsewhere,
                "elsewhere_power": unexplained_w.of(elsewhere, volts_in, name="power that goes elsewhere"),
            },
        )

    def _volts(self, part: Part, set: str, usual: Value) -> Value:
        """The volts read at a part; the usual ones where nothing that carries current can have what was read."""
        read = [self.value(taken) for taken in self._of(part.name, "voltage", set)]
        return next((leaf for leaf in read if isinstance(leaf.domain, Span) and leaf.domain.lo > 0), usual)

    def _shares(self, set: str) -> Iterator[Fact]:
        """The currents of parallel batteries, clamped at one instant."""
        read = {string[0]: self._of(string[0], "current", set) for string in self.its.bank.strings}
        if len(read) < 2 or not all(read.values()):
            return
        currents = [self.value(each[0]) for each in read.values()]
        spans = [leaf.domain for leaf in currents if isinstance(leaf.domain, Span)]
        if not (all(span.lo > 0 for span in spans) or all(span.hi < 0 for span in spans)):
            return  # currents that may run against each other, or a doubtful one, have no parts of a sum
        for battery, own in read.items():
            part = part_of_sum.of(self.value(own[0]), *currents, name=f"part of {battery} as read")
            ratio = against_equal.of(
                part, self.its.strings, name=f"{battery} against an equal share, as read"
            )
            yield Fact(
                "share_reading",
                {"bank": self.its.bank.name, "battery": battery, "set": set},
                {"ratio": ratio},
            )

    def _drops(self) -> Iterator[Fact]:
        """A voltage drop on the way to a part, with what is usual at 12 V; it stands by itself, in a set or not."""
        for part in self.case.parts.values():
            for taken in self._of(part.name, "drop"):
                drop = at_12v.of(
                    self.value(taken), self.its.nominal, name=f"drop to {part.name} as read, at 12 V"
                )
                keys = {"part": part.name, "bank": self.its.bank.name, "reading": taken.name}
                yield Fact("drop_reading", keys, {"drop": self.value(taken), "drop_12": drop})


AWAY = ("away", "off-grid", "off grid", "shore unplugged")
"""Words of a state that say shore was not connected."""
QUIET = ("everything off", "all off", "storage", "dead quiet")
"""States in which nothing should draw."""
