"""Facts with everything on: what every conductor carries, and the volts every load has left.

Every battery-side load takes its current and every inverter its rating: the most that can be asked for. What an
owner really runs together is a habit, and judged elsewhere.

Nothing charges, and the bank is rested. Of several identical loads written as one each takes its current. A
load that states its power and no current, or that keeps its power up, takes more current the fewer volts it
gets; a heater takes its power at nominal volts; of one of which nobody knows whether it keeps its power up, both
are counted with. A converter that feeds loads of other volts takes its input current; a charger that a battery
feeds is left out, it runs with the engine. Consumers of which no run is written may hang on any bars, so every
conductor that leads to bars carries from nothing to all of what they take.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property, partial

from ringout.case.case import Case, Part
from ringout.facts.banks import BankFacts
from ringout.facts.fact import Fact, Later
from ringout.facts.protection import Ampacity, rated
from ringout.physics.constant_power import LEAST_LEFT, Keeper, alone, divided, rated_w, settled, share_left
from ringout.physics.feeders import Draw, Feeders, times_a
from ringout.physics.flow import Beside, Flow
from ringout.physics.formulas import (
    against_rating,
    drop_v,
    idle_a,
    inverter_input_a,
    times_w,
    under_load_v,
)
from ringout.quantity.leaf import WORKED_OUT, Leaf
from ringout.quantity.span import Choice, Span
from ringout.quantity.steady import Steady, steady
from ringout.quantity.traced import Formula, Value, domain_of
from ringout.system.network import Network


class FlowFacts:
    """Makes the facts of one bank with everything on, and tells the volts of a load beside one other consumer."""

    def __init__(self, its: BankFacts, ampacity: Ampacity) -> None:
        self.its, self.case, self.network, self.bank = its, its.case, its.network, its.bank
        self.ampacity = ampacity
        self._taken: dict[str, Value | Keeper] = {}
        self.ends = {part.name: ends for part in consumers(self.case) if (ends := self._ends(part)) is not None}

    def all(self) -> Iterator[Fact]:
        """What every conductor and every main device carries, and the volts of every load."""
        if self.feeders.core is None or not self.ends:
            return
        draws, keepers = self._drawn()
        everything = [*draws, *settled(self.feeders, draws, keepers, self._rested, self._unplaced)]
        flow, standing = Flow(self.feeders, everything, self._unplaced), self._standing(everything)
        yield from self._currents(flow, standing)
        yield from self._main_devices(flow, standing)
        for name in self.loads:
            yield self._load_volts(name, flow, standing)

    # -- who draws -------------------------------------------------------------------------------------------

    def _ends(self, part: Part) -> tuple[str, str] | None:
        """Where a part's current leaves the bank's wiring and comes back; None where it hangs elsewhere.

        Where one side is not written (a body return), it is taken at the post: it carries the current too.
        """
        top, bottom = self._outer_posts
        plus, minus = f"{part.name}+", f"{part.name}-"
        wired = self.network.terminals(part, "+") + self.network.terminals(part, "-")
        layout = self.network.layout(self.bank)
        if not wired or any(end not in layout for end in wired):
            return None
        if len(wired) == 1:
            plus, minus = (plus, bottom) if wired == [plus] else (top, minus)
        if self.network.net(plus) & {minus}:
            return None  # both on one side: nothing flows
        turned = bottom in self.network.net(plus) or top in self.network.net(minus)
        return (minus, plus) if turned else (plus, minus)

    def across(self, part: str) -> bool:
        """Whether a consumer is wired at both sides, and on the whole bank, not on a part of a string."""
        plus, minus = self.ends[part]
        top, bottom = self._outer_posts
        wired = plus != top and minus != bottom
        return wired and plus in self.network.net(top) and minus in self.network.net(bottom)

    @property
    def _outer_posts(self) -> tuple[str, str]:
        string = self.bank.strings[0]
        return f"{string[0]}+", f"{string[-1]}-"

    @cached_property
    def feeders(self) -> Feeders:
        """The bank's feeders; where plus and minus of consumers meet on one, it is solved with the core."""
        layout = self.network.layout(self.bank)
        sides: dict[str, set[int]] = {}
        for ends in self.ends.values():
            for side, end in enumerate(ends):
                for terminal in layout.feeder(end):
                    sides.setdefault(terminal, set()).add(side)
        both = {end for end, found in sides.items() if len(found) > 1 and end not in layout.core}
        return Feeders(self.network, self.bank, frozenset(both))

    def _drawn(self) -> tuple[list[Draw], list[Keeper]]:
        draws, keepers = [], []
        for name, ends in self.ends.items():
            taken = self.taken(self.case.parts[name])
            if isinstance(taken, Keeper):
                keepers.append(taken)
            else:
                draws.append(Draw(name, *ends, taken))
        return draws, keepers

    def taken(self, part: Part) -> Value | Keeper:
        """What a consumer takes: its current, or the power it keeps up where it hangs on this whole bank."""
        if part.name not in self._taken:
            self._taken[part.name] = self._takes(part)
        return self._taken[part.name]

    def _takes(self, part: Part) -> Value | Keeper:
        kept = kept_power(part, self.its)
        if kept is not None and part.name in self.ends and self.across(part.name):
            return Keeper(part.name, *self.ends[part.name], *kept)
        return current_of(part, self.its)

    @property
    def _rested(self) -> Span:
        found = domain_of(self.its.rested)
        assert isinstance(found, Span)
        return found

    @cached_property
    def _unplaced(self) -> Leaf | None:
        """What consumers without any run take, which may hang anywhere on this bank."""
        loose = []
        for part in consumers(self.case):
            if not _wired(self.network, part) and domain_of(self.network.on_bank(part, self.bank)) != _NO:
                loose.append(part)
        if not loose:
            return None
        high = sum(_most_of(part, self.its) for part in loose)
        names = ", ".join(part.name for part in loose)
        source = f"their runs are not written: {names}"
        return Leaf(f"{WORKED_OUT}{self.bank.name}.unplaced", Span(0.0, high), "current", source=source)

    # -- facts -----------------------------------------------------------------------------------------------

    def _standing(self, draws: list[Draw]) -> tuple[Leaf, ...]:
        parts = [self.case.parts[draw.part] for draw in draws]
        return (*self.network.supposed(self.bank), *(part.there for part in parts if part.supposed))

    def _currents(self, flow: Flow, standing: tuple[Leaf, ...]) -> Iterator[Fact]:
        layout = self.network.layout(self.bank)
        for hop in self.case.hops.values():
            current = flow.run_current(hop) if hop.a in layout else None
            if current is not None:
                ampacity = self.ampacity(hop)
                name = f"{hop.id} against what it may carry"
                ratio = steady(against_rating, current, ampacity, name=name, falls=(1,))
                values: dict[str, Value] = {"current": current, "ampacity": ampacity, "ratio": ratio}
                keys = {"run": hop.id, "bank": self.bank.name}
                yield Fact("run_current", keys, values, standing=standing)

    def _main_devices(self, flow: Flow, standing: tuple[Leaf, ...]) -> Iterator[Fact]:
        """The devices first met on the way out that several consumers share, with everything on."""
        for device in sorted(self.network.first_devices(self.bank)):
            current = flow.shared(f"{device}.in", f"{device}.out")
            if current is not None:
                rating, name = rated(self.case.parts[device]), f"current through {device} against its rating"
                ratio = steady(against_rating, current, rating, name=name, falls=(1,))
                values: dict[str, Value] = {"current": current, "rating": rating, "ratio": ratio}
                yield Fact("main_device_load", {"device": device, "bank": self.bank.name}, values, standing=standing)

    def while_runs(self, load: Part, other: Beside) -> Steady:
        """Voltage (V) at a load that runs while another consumer runs, in all else as alone."""
        ends, taken, name = self.ends[load.name], self.taken(load), load.name
        before, every = other.left(*ends), self.feeders.seen_ohm(*ends)
        if isinstance(taken, Keeper):
            taken = alone(taken, before, every, self.its.rested, other.other.part)
        return self._volts(before, steady(drop_v, taken, every, name=f"volts lost up to {name}"), name)

    @cached_property
    def loads(self) -> list[str]:
        """The loads of which volts can be told."""
        parts = (self.case.parts[name] for name in self.ends)
        return [part.name for part in parts if part.acts_as("dc_load") and self.across(part.name)]

    @staticmethod
    def _volts(rested: Value, lost: Value, name: str) -> Steady:
        return steady(under_load_v, rested, lost, name=f"volts at {name}", falls=(1,))

    def _load_volts(self, name: str, flow: Flow, standing: tuple[Leaf, ...]) -> Fact:
        says = Later(("volts", "left", "drop"), partial(self._told, name, flow))
        return Fact("load_volts", {"load": name, "bank": self.bank.name}, says, standing=standing)

    def _told(self, load: str, flow: Flow, what: str) -> Value:
        """The volts at a load, the part of the rested volts that it is left, or what is lost on its feeders."""
        rested, ends = self.its.rested, self.ends[load]
        if what == "drop":
            return flow.lost_on_feeders(*ends)
        if what == "volts":
            return self._volts(rested, flow.lost(*ends), load)
        return steady(share_left, flow.lost(*ends), rested, name=f"volts left at {load} as a share", falls=(0,))


def consumers(case: Case) -> list[Part]:
    """The parts that take from a battery to run something; what charges a battery is none of them."""
    return [
        part
        for part in case.with_role("dc_load", "inverter", "dc_converter")
        if part.acts_as("inverter") or "absorption" not in part.form.fields
    ]


def _wired(network: Network, part: Part) -> bool:
    return bool(network.terminals(part, "+") or network.terminals(part, "-"))


def current_of(part: Part, its: BankFacts) -> Value:
    """Current (A) of a consumer at the volts of its bank: of an inverter at its rating, else as stated."""
    if part.name not in its.currents:
        its.currents[part.name] = _current_of(part, its)
    return its.currents[part.name]


def _current_of(part: Part, its: BankFacts) -> Value:
    if part.acts_as("inverter"):
        return full_current(part, its)
    if part.acts_as("dc_converter"):
        return part.leaf("input")
    power, current, name = part.leaf("power"), part.leaf("current"), f"current of {part.name}"
    if power.known and not current.known:
        current_at = steady(idle_a, power, its.nominal, name=f"{name} at nominal volts", falls=(1,))
        return several(times_a, part, current_at, name)
    return several(times_a, part, current, name)


def kept_power(part: Part, its: BankFacts) -> tuple[Value, Span | None] | None:
    """Power (W) that a load keeps up, or may keep up; None for one that does not, or of which no figure is known.

    With it, where it may as well keep up its current, the volts at which the power is that of its current.
    """
    if not part.acts_as("dc_load"):
        return None
    power, current, behaves = part.leaf("power"), part.leaf("current"), part.leaf("behaves").domain
    told = power.known and not (current.read or current.doubt)  # a current that was read speaks louder than watts
    if not (told or current.known) or not isinstance(behaves, Choice):
        return None
    keeps = KEEPS if current.known else behaves.options - KEEPS_NONE
    if not behaves.options & keeps:
        return None
    name = f"power of {part.name}"
    one = power if told else steady(rated_w, current, its.nominal, name=f"rated {name}")
    kept = several(times_w, part, one, name)
    watts, amps = domain_of(kept), domain_of(current_of(part, its))
    assert isinstance(watts, Span) and isinstance(amps, Span)
    surely = behaves.options <= keeps or amps.lo <= 0
    return kept, None if surely else divided(watts, amps)


KEEPS, KEEPS_NONE = frozenset({"constant_power"}), frozenset({"resistive"})
"""What keeps its power up though its current is stated, and what does not though only its power is."""


def full_current(inverter: Part, its: BankFacts) -> Value:
    """Current (A) that an inverter draws at its rating, or several alike written as one."""
    rating, efficiency = inverter.leaf("rating"), inverter.leaf("efficiency")
    name = f"{inverter.name} current at full load"
    one = steady(inverter_input_a, rating, its.loaded, efficiency, name=name, falls=(1, 2))
    return several(times_a, inverter, one, f"{name}, all together")


ONE = Span(1.0, 1.0)
"""How many a part stands for that was written once."""


def several(formula: Formula, part: Part, one: Value, name: str) -> Value:
    """What several identical ones take together."""
    count = part.leaf("count")
    return one if count.domain == ONE else steady(formula, count, one, name=name)


def _most_of(part: Part, its: BankFacts) -> float:
    """The largest current (A) of a consumer wherever it hangs; keeping its power up, at the least volts left."""
    kept, rested, most = kept_power(part, its), domain_of(its.rested), domain_of(current_of(part, its))
    assert isinstance(most, Span) and isinstance(rested, Span)
    if kept is None:
        return most.hi
    power = domain_of(kept[0])
    assert isinstance(power, Span)
    return max(most.hi, power.hi / (LEAST_LEFT * rested.lo))


_NO = Choice(frozenset({"no"}))
