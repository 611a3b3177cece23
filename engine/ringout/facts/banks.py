"""Facts of a bank: what it is, whether it is fused, how its wiring shares the current."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from ringout.case.case import YES_NO, Case, Hop, Part
from ringout.facts.fact import Fact
from ringout.facts.looked import as_drawn, none_or
from ringout.physics.circuit import circuit
from ringout.physics.formulas import (
    against_equal,
    from_12v,
    size_ratio,
    strings_of,
    times,
    total,
    usable_ah,
    volt_class_v,
)
from ringout.physics.tables import by_chemistry, constant
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.quantity.steady import steady
from ringout.quantity.traced import Point, Traced, Value, domain_of
from ringout.system.banks import Bank
from ringout.system.network import Network

ROLE_WORDS = {"overcurrent": "a fuse or breaker", "switch": "a switch"}
MOST_LINKS = 12
"""Links of one bank that are compared with each other; of more, those that may be thinnest and thickest are."""


class BankFacts:
    """Makes the facts of one bank."""

    def __init__(self, case: Case, network: Network, bank: Bank) -> None:
        self.case = case
        self.network = network
        self.bank = bank
        self.batteries = [case.parts[name] for name in bank.batteries]
        declared = case.parts.get(bank.name)
        self.declared = declared if declared is not None and declared.acts_as("bank") else None
        self.chemistry = self._chemistry()
        self.nominal = self._nominal()
        strings = [number for number, _ in self.counted()]
        self.strings = total.of(*strings, name=f"strings of {bank.name}", dimension="count")
        self.loaded = from_12v.of(by_chemistry("loaded_volts", self.first_chemistry), self.nominal)
        self.charging = from_12v.of(by_chemistry("charging_volts", self.first_chemistry), self.nominal)
        self.rested = from_12v.of(by_chemistry("rested_volts", self.first_chemistry), self.nominal)
        self.currents: dict[str, Value] = {}
        """What consumers take (A), each told once: see `flows.current_of`."""

    @property
    def first_chemistry(self) -> Leaf:
        """The chemistry of the first battery, for tables (a mixed bank is a finding of its own)."""
        return self.batteries[0].leaf("chemistry")

    def _chemistry(self) -> Value:
        told = [battery.leaf("chemistry") for battery in self.batteries]
        if self.declared is not None and self.declared.leaf("chemistry").known:
            # What is said of the bank speaks for the batteries nobody read, and not against a label.
            told = [self.declared.leaf("chemistry"), *(leaf for leaf in told if leaf.known)]
        own = {leaf.path: leaf for leaf in told}
        if len(own) == 1:
            return next(iter(own.values()))

        def same(*words: Point) -> Point:
            return words[0] if len(set(words)) == 1 else "mixed"

        first = next(iter(own.values()))
        widest = (
            Choice(frozenset({*first.domain.options, "mixed"})) if isinstance(first.domain, Choice) else None
        )
        return Traced(
            same,
            tuple(own.values()),
            name=f"{self.bank.name} chemistry",
            formula="the one they share",
            source="what is stated of each battery",
            widest=widest,
        )

    @property
    def _drawn(self) -> bool:
        """Whether the wiring says how each single battery is joined."""
        return self.bank.joined and all(
            each.leaf("count").domain == Span(1.0, 1.0) for each in self.batteries
        )

    def _nominal(self) -> Value:
        """Nominal volts: of one string where that is drawn and read, else those of the installation."""
        if self.declared is not None and self.declared.leaf("nominal").known:
            return volt_class_v.of(self.declared.leaf("nominal"), name=f"nominal volts of {self.bank.name}")
        string = [self.case.parts[name].leaf("nominal") for name in self.bank.strings[0]]
        if self._drawn and all(leaf.known for leaf in string):
            printed = total.of(*string, name=f"printed volts of {self.bank.name}", dimension="voltage")
            return volt_class_v.of(printed, name=f"nominal volts of {self.bank.name}")
        return self.case.dc_volts

    def counted(self) -> list[tuple[Value, Part]]:
        """How many strings each battery stands for: as drawn, else from its count and the volts."""
        if self._drawn:
            return [(number(1), self.case.parts[string[0]]) for string in self.bank.strings]
        name = "strings of {}".format
        return [
            (strings_of.of(each.leaf("count"), own, self.nominal, name=name(each.name)), each)
            for each in self.batteries
            for own in [volt_class_v.of(each.leaf("nominal"), name=f"nominal volts of {each.name}")]
        ]

    def sum_over(self, field: str) -> Value:
        """What the bank can take or hold: the declared figure, else the sum over its strings.

        What was read of the batteries outranks what was declared of the bank, as far as nobody read that too.
        """
        leaves = [battery.leaf(field) for battery in self.batteries]
        read = any(leaf.read for leaf in leaves) and all(leaf.known for leaf in leaves)
        declared = self.declared.leaf(field) if self.declared is not None else None
        if declared is not None and declared.known and (declared.read or not read):
            return declared
        unit = self.batteries[0].form.fields[field].dimension
        each = [
            times.of(number, battery.leaf(field), name=f"{field} of {battery.name}", dimension=unit)
            for number, battery in self.counted()
        ]
        return total.of(*each, name=f"{self.bank.name} {field}", dimension=unit)

    def usable(self) -> Value:
        """The charge that may be used: by the share stated, else what is usual for the chemistry."""
        stated = [each.leaf("usable") for each in (self.declared, self.batteries[0]) if each is not None]
        share: Value = by_chemistry("usable_share", self.first_chemistry)
        share = next((leaf for leaf in stated if leaf.known), share)
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

    def told(self, field: str) -> Leaf:
        """What is told of the bank as a whole, else of its batteries.

        Where they are joined one lead leaves them all, and any of them speaks for it; where nobody wrote how they are
        joined each may have a lead of its own, and one of which nothing is told leaves it open.
        """
        whole = [part for part in (self.declared,) if part is not None and field in part.form.fields]
        leaves = [part.leaf(field) for part in (*whole, *self.batteries)]
        if self.bank.joined or (whole and leaves[0].told):
            return next((leaf for leaf in leaves if leaf.told), leaves[0])
        return next((leaf for leaf in leaves[len(whole) :] if not leaf.told), leaves[-1])

    def _charge_coldest(self) -> Leaf:
        """Below what it must not be charged (C): the most careful maker's figure, else the usual one for lithium."""
        told = [leaf for leaf in (battery.leaf("charge_coldest") for battery in self.batteries) if leaf.known]
        return max(told, key=_upper, default=constant("lithium_coldest_charge"))

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
            "joined": as_drawn(f"{self.bank.name} joined", "yes" if self.bank.joined else "no"),
            "charge_coldest": self._charge_coldest(),
            "cold_charge_stop": self.weakest("cold_charge_stop", "no"),
            "equalise": self.weakest("equalise", "not_allowed"),
            "loaded": self.loaded,
            "rested": self.rested,
        }
        yield Fact("bank", {"part": self.bank.name}, values)
        standing = self.network.supposed(self.bank)
        # One battery seen without a fuse outweighs what is said of the others, or of all.
        bare = [part for part in self.batteries if part.word("main_fuse") == "no"]
        told = bare[0].leaf("main_fuse") if bare else self.told("main_fuse")
        fused = self._passes("overcurrent", told, ("fuse", "breaker"))
        yield Fact("main_protection", {"bank": self.bank.name}, {"fused": fused}, standing=standing)
        switched = self._passes("switch", self.told("main_isolator"), ("isolator",))
        yield Fact("main_switch", {"bank": self.bank.name}, {"switched": switched}, standing=standing)
        yield from self._links()

    def _passes(self, role: str, coarse: Leaf, kinds: tuple[str, ...]) -> Value:
        """Whether every lead off the plus posts passes a part of a role: as drawn, looked for, or seen."""
        name = f"every lead of {self.bank.name} passes {ROLE_WORDS[role]}"
        if not self.network.drawn(self.bank):
            return coarse
        if not self.network.leads_without(self.bank, role):
            # A lead that nobody followed may leave a post by itself: then what was seen at the posts counts.
            return coarse if self._unfollowed() else as_drawn(name, "yes")
        loose = [p for p in self.case.with_role(role) if p.form.port("through") and not self._placed(p)]
        if loose:
            # One that exists, nobody knows where, may be the very one.
            return coarse

        return Traced(
            lambda said, *looked: none_or(looked, said),
            (coarse, *(self.case.looked(kind) for kind in kinds)),
            name=name,
            formula="a lead without one is drawn: no, if all were looked for, else as seen",
            source="the wiring as written and what was looked for",
            widest=YES_NO,
        )

    def _unfollowed(self) -> bool:
        """Whether something hangs on this bank, or may, of which no plus lead is drawn all the way."""
        hanging = self.case.with_role("inverter", "charger", "solar_controller", "dc_converter", "dc_load")
        no = Choice(frozenset({"no"}))
        return any(
            not any(self.network.leads_to(part, bank, "+") for bank in self.network.banks)
            and part.form.port("pair")
            and domain_of(self.network.on_bank(part, self.bank)) != no
            for part in hanging
        )

    def _placed(self, part: Part) -> bool:
        return f"{part.name}.in" in self.network.graph or f"{part.name}.out" in self.network.graph

    def _links(self) -> Iterator[Fact]:
        posts = {f"{name}{pole}" for name in self.bank.batteries for pole in "+-"}
        links = [hop for hop in self.case.hops.values() if hop.a in posts and hop.b in posts]
        for one, other in itertools.combinations(_compared(links), 2):
            ratio = size_ratio.of(one.size, other.size, name=f"copper of {one.id} against {other.id}")
            keys = {"bank": self.bank.name, "one": one.id, "other": other.id}
            standing = tuple(hop.there for hop in (one, other) if hop.supposed)
            yield Fact("link_pair", keys, {"ratio": ratio}, standing=standing)

    def sharing(self, consumer: Part, current: Value) -> Iterator[Fact]:
        """How the strings share what the heaviest consumer draws; only for a bank of several strings."""
        if len(self.bank.strings) < 2 or not self.bank.joined:
            return
        plus, minus = self.network.terminals(consumer, "+"), self.network.terminals(consumer, "-")
        made = circuit(self.network, self.bank, {*plus, *minus}, equal=True)
        if not plus or not minus or made is None:
            return
        standing = self.network.supposed(self.bank)
        sides = [self.network.take_off(consumer, self.bank, pole) for pole in "+-"]
        one_sided = len(sides[0]) == 1 and sides[0] == sides[1]
        keys = {"bank": self.bank.name, "part": consumer.name}
        word = as_drawn("take-off", "yes" if one_sided else "no")
        yield Fact("take_off", keys, {"one_sided": word}, standing=standing)
        strings = number(len(self.bank.strings))
        for string in self.bank.strings:
            battery = self.case.parts[string[0]]
            name, ends = battery.name, (plus[0], minus[0])
            share = made.share(name, ends, f"share of {name}")
            yield Fact(
                "bank_share",
                {"bank": self.bank.name, "battery": name},
                {
                    "ratio": steady(against_equal, share, strings, name=f"{name} against an equal share"),
                    "current": made.battery_current(name, (*ends, current), f"current of {name}"),
                    "limit": battery.leaf("max_discharge"),
                },
                standing=standing,
            )


def _compared(links: list[Hop]) -> list[Hop]:
    """The links to compare, by their ids: which two are meant must not hang on the order in which they were written."""
    found = sorted(links, key=lambda hop: hop.id)
    if len(found) > MOST_LINKS:
        thin = sorted(found, key=lambda hop: _lower(hop.size))[: MOST_LINKS // 2]
        thick = sorted((hop for hop in found if hop not in thin), key=lambda hop: -_upper(hop.size))
        found = sorted([*thin, *thick[: MOST_LINKS - len(thin)]], key=lambda hop: hop.id)
    return found


def number(value: float) -> Leaf:
    """A plain number as a settled leaf."""
    return Leaf(f"number.{value:g}", Span(value, value), "count", known=True, text=f"{value:g}")


def _upper(leaf: Leaf) -> float:
    return leaf.domain.hi if isinstance(leaf.domain, Span) else 0.0


def _lower(leaf: Leaf) -> float:
    return leaf.domain.lo if isinstance(leaf.domain, Span) else 0.0
