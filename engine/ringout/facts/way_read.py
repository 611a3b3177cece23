"""The resistance of the way to a part as it was read: volts lost on it over the current of the part in the same set.

A drop that names no points was read over the whole way, plus and return. Where other parts share pieces of the way,
what they may have carried meanwhile is left open, from the most one way to the most the other way.
"""

from __future__ import annotations

import math

from ringout.case.case import Part, Taken
from ringout.case.form import sheet
from ringout.facts.banks import BankFacts
from ringout.facts.fact import Fact
from ringout.facts.flows import current_of, full_current
from ringout.facts.trust import above, near
from ringout.physics.circuit import way_ohm
from ringout.physics.formulas import times
from ringout.physics.read import read_ohm, way_read_ohm
from ringout.physics.tables import constant
from ringout.quantity.leaf import WORKED_OUT, Leaf
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import Traced, Value, domain_of
from ringout.system.network import Step

DRAWS_NOTHING = ("bank", "storage", "bars", "monitor")
"""Roles of what takes no current of its own beside the others, or next to none."""


def way_as_read(its: BankFacts, part: Part, way: list[Step], sized: Value) -> Value:
    """The resistance of a way: as read where the drop was repeated and tells more than sizes and lengths do."""
    for drop in _drops(its, part, way):
        read = _ohm(its, part, way, drop) if drop.repeated else None
        if read is not None:
            found, by_size = _span(read), _span(sized)
            if found.lo > 0 and (by_size.lo < found.lo or found.hi < by_size.hi):
                return read
    return sized


def surprising(its: BankFacts, part: Part, drop: Taken, lead: Fact) -> bool:
    """Whether a drop read once contradicts the lead by its sizes: with its current, else at the most it carries."""
    way = [step for pole in "+-" for step in its.network.way(part, its.bank, pole) or []]
    if drop.repeated or drop not in _drops(its, part, way):
        return False
    read = _ohm(its, part, way, drop)
    if read is None:
        return above(drop, domain_of(lead.values["drop"]))
    return not near(_span(read), _span(lead.values["resistance"]), sheet("reading").fields["drop"].agrees)


def _drops(its: BankFacts, part: Part, way: list[Step]) -> list[Taken]:
    """The drops read over the whole way of one single part, as long as nothing of it was changed since."""
    of = [each for each in its.case.readings if each.reading.of == part.name and each.reading.what == "drop"]
    if not of:
        return []
    keys = {_key(step) for step in way}
    changed = any(each in (part.name, *keys) or each.rpartition(".")[0] in keys for each in its.case.since)
    if part.leaf("count").domain != Span(1.0, 1.0) or changed:
        return []
    return [each for each in of if each.value.known and not each.reading.points and _one_way(each.value)]


def _ohm(its: BankFacts, part: Part, way: list[Step], drop: Taken) -> Traced | None:
    """What a drop makes of the way with the current of its set; None where no current can be told."""
    current = next((each for each in its.case.readings if _current_of(each, part, drop)), None)
    if current is None:
        return None
    others = _others(its, part, way)
    most = sum(amps for _, amps in others.values())
    if math.isinf(most):
        return None
    amps: Value = current.value
    if not current.repeated and current.reading.within is None:
        amps = times.of(constant("single_clamp"), amps, name=f"{current.name} read once", dimension="current")
    if not others:
        return read_ohm.of(drop.value, amps, name=f"lead of {part.name} as read")
    names = ", ".join(others)
    source = f"what may have flowed beside, one way or the other: {names}"
    beside = Leaf(f"{WORKED_OUT}{part.name}.beside", Span(-most, most), "current", source=source)
    shared = [step for step in way if any(_key(step) in keys for keys, _ in others.values())]
    ohm = way_ohm(its.case, [shared], f"what {part.name} shares with {names}")
    return way_read_ohm.of(drop.value, amps, ohm, beside, name=f"lead of {part.name} as read")


def _current_of(taken: Taken, part: Part, drop: Taken) -> bool:
    """Whether it is a current of a part, and one that flowed, in the set of a drop."""
    its = taken.reading
    same = its.what == "current" and its.of == part.name and bool(its.set) and its.set == drop.reading.set
    return same and taken.value.known and _one_way(taken.value)


def _one_way(value: Leaf) -> bool:
    """Whether what was read surely has one sign, so that its size grows and falls with it."""
    return isinstance(value.domain, Span) and (value.domain.lo > 0 or value.domain.hi < 0)


def _others(its: BankFacts, part: Part, way: list[Step]) -> dict[str, tuple[set[str], float]]:
    """Other parts on the bank by name: the pieces of a way that they share, and the most current (A) of each."""
    own, found = {_key(step) for step in way}, {}
    joined = its.network.joined(its.bank)
    for other in its.case.parts.values():
        ends = [end for end in sorted(its.network.graph) if _part(end) == other.name]
        passes = other.form.port("through") and not other.acts_as("link")
        if other is part or passes or other.acts_as(*DRAWS_NOTHING):
            continue
        shared = own & {_key(step) for end in ends if end in joined for step in its.network.way_from(end, its.bank)}
        if not ends and other.form.port("pair") and domain_of(its.network.on_bank(other, its.bank)) != _NO:
            shared = own  # nobody drew where it hangs
        if shared:
            found[other.name] = (shared, _most(its, other))
    return found


def _key(step: Step) -> str:
    return step.hop.id if step.hop is not None else step.device


def _part(terminal: str) -> str:
    return terminal.rstrip("+-").split(".")[0]


def _most(its: BankFacts, part: Part) -> float:
    """The most current (A) of a part, whichever way; without end where its form tells none."""
    found: list[Value] = [full_current(part, its)] if part.acts_as("inverter") else []
    found += [current_of(part, its)] if part.acts_as("dc_load") else []
    if part.acts_as("charger", "solar_controller", "dc_converter"):
        found += [part.leaf(key) for key in ("input", "output", "rating") if _is_current(part, key)]
    count = part.leaf("count").domain
    many = count.hi if isinstance(count, Span) else 1.0
    return max((many * _span(each).hi for each in found), default=math.inf)


def _is_current(part: Part, key: str) -> bool:
    return key in part.form.fields and part.form.fields[key].dimension == "current"


def _span(value: Value) -> Span:
    domain = domain_of(value)
    assert isinstance(domain, Span)
    return domain


_NO = Choice(frozenset({"no"}))
