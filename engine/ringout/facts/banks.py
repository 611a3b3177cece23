"""Facts of a bank: what it is, whether it is fused, how its wiring shares the current."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from ringout.case.case import YES_NO, Case, Part
from ringout.facts.fact import Fact
from ringout.facts.mains import COMPLETE
from ringout.physics.circuit import circuit
from ringout.physics.formulas import (
    against_equal,
    battery_current_a,
    from_12v,
    size_ratio,
    strings_of,
    times,
    total_length_m,
    usable_ah,
)
from ringout.physics.tables import by_chemistry
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import Point, Traced, Value
from ringout.system.network import Bank, Network

MOST_LINKS = 12
"""Links of one bank that are compared with each other; a bank with more is described by its first ones."""


class BankFacts:
    """Makes the facts of one bank."""

    def __init__(self, case: Case, network: Network, bank: Bank) -> None:
        self.case = case
        self.network = network
        self.bank = bank
        self.batteries = [case.parts[name] for name in bank.batteries]
        declared = case.parts.get(bank.name)
        self.declared = declared if declared is not None and declared.acts_as("bank") else None
        first = self.batteries[0]
        self.chemistry = self._chemistry()
        nominal = first.leaf("nominal")
        if case.dc_volts.known:
            self.nominal: Value = case.dc_volts
        elif nominal.known and bank.joined:
            self.nominal = times.of(_number(len(bank.strings[0])), nominal, name=f"{bank.name} nominal volts")
        else:
            self.nominal = case.dc_volts
        self.strings = self._strings(first, nominal)
        self.loaded = from_12v.of(by_chemistry("loaded_volts", self.first_chemistry), self.nominal)
        self.charging = from_12v.of(by_chemistry("charging_volts", self.first_chemistry), self.nominal)
        self.rested = from_12v.of(by_chemistry("rested_volts", self.first_chemistry), self.nominal)

    @property
    def first_chemistry(self) -> Leaf:
        """The chemistry of the first battery, for tables (a mixed bank is a finding of its own)."""
        return self.batteries[0].leaf("chemistry")

    def _chemistry(self) -> Value:
        own = {battery.leaf("chemistry").path: battery.leaf("chemistry") for battery in self.batteries}
        if self.declared is not None and self.declared.leaf("chemistry").known:
            return self.declared.leaf("chemistry")
        if len(own) == 1:
            return next(iter(own.values()))

        def same(*words: Point) -> Point:
            return words[0] if len(set(words)) == 1 else "mixed"

        first = next(iter(own.values()))
        widest = Choice(frozenset({*first.domain.options, "mixed"})) if isinstance(first.domain, Choice) else None
        return Traced(
            same, tuple(own.values()), name=f"{self.bank.name} chemistry", formula="the one they share", widest=widest
        )

    def _strings(self, first: Part, nominal: Leaf) -> Value:
        """How many strings stand in parallel: from the wiring, or from the count of batteries and the voltages."""
        if self.bank.joined and len(self.batteries) > 1:
            return _number(len(self.bank.strings))
        if len(self.batteries) == 1 and first.leaf("count").settled and first.leaf("count").domain == Span(1.0, 1.0):
            return _number(1)
        count = times.of(_number(len(self.batteries)), first.leaf("count"), name="batteries")
        return strings_of.of(count, nominal, self.nominal, name=f"strings of {self.bank.name}")

    def sum_over(self, field: str) -> Value:
        """What the bank can take or hold: the declared figure, else strings times one battery."""
        if self.declared is not None and self.declared.leaf(field).known:
            return self.declared.leaf(field)
        return times.of(self.strings, self.batteries[0].leaf(field), name=f"{self.bank.name} {field}")

    def usable(self) -> Value:
        """The charge that may be used."""
        share = by_chemistry("usable_share", self.first_chemistry)
        return usable_ah.of(self.sum_over("capacity"), share, name=f"usable charge of {self.bank.name}")

    def weakest(self, field: str, bad: str) -> Value:
        """A word that holds for the bank: the bad one if any battery has it."""
        leaves = {battery.leaf(field).path: battery.leaf(field) for battery in self.batteries}
        if len(leaves) == 1:
            return next(iter(leaves.values()))
        options = self.batteries[0].form.fields[field].options
        good = next(word for word in options if word != bad)

        def worst(*words: Point) -> Point:
            return bad if bad in words else good

        return Traced(
            worst,
            tuple(leaves.values()),
            name=f"{self.bank.name} {field}",
            formula="the worst of its batteries",
            widest=Choice(frozenset(options)),
        )

    # -- facts -----------------------------------------------------------------------------------------------

    def all(self) -> Iterator[Fact]:
        """Every fact of this bank."""
        values: dict[str, Value] = {
            "chemistry": self.chemistry,
            "nominal": self.nominal,
            "strings": self.strings,
            "capacity": self.sum_over("capacity"),
            "usable": self.usable(),
            "max_charge": self.sum_over("max_charge"),
            "max_discharge": self.sum_over("max_discharge"),
            "joined": _word(f"{self.bank.name} joined", "yes" if self.bank.joined else "no"),
            "cold_charge_stop": self.weakest("cold_charge_stop", "no"),
            "equalise": self.weakest("equalise", "not_allowed"),
            "loaded": self.loaded,
        }
        yield Fact("bank", {"part": self.bank.name}, values)
        yield Fact("main_protection", {"bank": self.bank.name}, {"fused": self._fused()})
        for device, way in sorted(self.network.first_devices(self.bank).items()):
            lengths = [step.hop.length for step in way if step.hop is not None]
            length = total_length_m.of(*lengths, name=f"cable from {self.bank.name} to {device}")
            yield Fact("fuse_lead", {"bank": self.bank.name, "device": device}, {"length": length})
        yield from self._links()

    def _fused(self) -> Value:
        part = self.declared or self.batteries[0]
        coarse = part.leaf("main_fuse")
        name = f"every lead of {self.bank.name} passes a fuse"
        if not self.network.drawn(self.bank):
            return coarse
        if not self.network.unfused(self.bank):
            return _word(name, "yes")
        loose = [p for p in self.case.with_role("overcurrent") if p.form.port("through") and not self._placed(p)]
        if loose:
            # A fuse that exists, nobody knows where, may be the very one.
            return coarse

        def settle(fuses: Point, breakers: Point, said: Point) -> Point:
            return "no" if fuses in COMPLETE and breakers in COMPLETE else said

        return Traced(
            settle,
            (self.case.looked("fuse"), self.case.looked("breaker"), coarse),
            name=name,
            formula="a lead without one is drawn: no, if all fuses and breakers were looked for; else what was seen",
            source="the wiring as written and what was looked for",
            widest=YES_NO,
        )

    def _placed(self, part: Part) -> bool:
        return f"{part.name}.in" in self.network.graph or f"{part.name}.out" in self.network.graph

    def _links(self) -> Iterator[Fact]:
        posts = {f"{name}{pole}" for name in self.bank.batteries for pole in "+-"}
        links = [hop for hop in self.case.hops.values() if hop.a in posts and hop.b in posts][:MOST_LINKS]
        for one, other in itertools.combinations(links, 2):
            ratio = size_ratio.of(one.size, other.size, name=f"copper of {one.id} against {other.id}")
            yield Fact("link_pair", {"bank": self.bank.name, "one": one.id, "other": other.id}, {"ratio": ratio})

    def sharing(self, consumer: Part, current: Value) -> Iterator[Fact]:
        """How the strings share what the heaviest consumer draws; only for a bank of several strings."""
        if len(self.bank.strings) < 2 or not self.bank.joined:
            return
        plus, minus = self.network.terminals(consumer, "+"), self.network.terminals(consumer, "-")
        if not plus or not minus:
            return
        sides = [self.network.take_off(consumer, self.bank, pole) for pole in "+-"]
        one_sided = len(sides[0]) == 1 and sides[0] == sides[1]
        keys = {"bank": self.bank.name, "part": consumer.name}
        yield Fact("take_off", keys, {"one_sided": _word("take-off", "yes" if one_sided else "no")})
        made = circuit(self.network, self.bank, {plus[0], minus[0]}, equal=True)
        if made is None:
            return
        strings = _number(len(self.bank.strings))
        for string in self.bank.strings:
            battery = self.case.parts[string[0]]
            share = made.share(battery.name, (plus[0], minus[0]), f"share of {battery.name}")
            yield Fact(
                "bank_share",
                {"bank": self.bank.name, "battery": battery.name},
                {
                    "ratio": against_equal.of(share, strings, name=f"{battery.name} against an equal share"),
                    "current": battery_current_a.of(share, current, name=f"current of {battery.name}"),
                    "limit": battery.leaf("max_discharge"),
                },
            )


def _number(value: float) -> Leaf:
    """A plain number as a settled leaf."""
    return Leaf(f"number.{value:g}", Span(value, value), "count", known=True, text=f"{value:g}")


def _word(name: str, word: str) -> Traced:
    return Traced(lambda: word, (), name=name, formula="as drawn", source="the wiring as written", widest=YES_NO)


