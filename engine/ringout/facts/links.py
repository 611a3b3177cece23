"""Facts of what joins banks with each other: a link or an in-vehicle charger, drawn, half drawn, or not at all.

A charger that fills one bank fills the other too wherever current may pass between them while the vehicle
stands. Nothing between two banks is a fact only where every link and every in-vehicle charger was looked for.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from ringout.case.case import YES_NO, Case, Part
from ringout.facts.fact import Fact
from ringout.facts.looked import none_or
from ringout.quantity.leaf import Leaf
from ringout.quantity.traced import Point, Traced, Value
from ringout.system.banks import Bank
from ringout.system.network import Network

KINDS = ("bank_link", "dc_charger")
FOR_GOOD = frozenset({"left_over_wire"})
"""Sorts of link that never part the banks."""
ONE_TO_MANY = frozenset({"diode_splitter", "low_loss_splitter"})
"""Sorts that pass current from the alternator to each bank and none between banks."""


def links(case: Case, network: Network) -> Iterator[Fact]:
    """For each pair of banks, both ways round, and each bank with itself: whether the one fills the other."""
    for one in network.banks:
        for other in network.banks:
            joined = _passes(case, network, one, other) if one is not other else _same(one)
            yield Fact("filled_from", {"bank": one.name, "source": other.name}, {"passes": joined})


def _same(bank: Bank) -> Traced:
    name = f"{bank.name} with itself"
    return Traced(lambda: "yes", (), name=name, formula="one bank", source="the wiring as written", widest=YES_NO)


def _passes(case: Case, network: Network, bank: Bank, source: Bank) -> Traced:
    """yes/no: whether what is charged into `source` reaches `bank` while the vehicle stands."""
    parts = (part for part in case.with_role("link", "dc_converter") if part.kind in KINDS)
    ways = [way for part in parts if (way := _way(network, part, bank, source))]
    looked = [case.looked(kind) for kind in KINDS]

    undrawn = _undrawn(case, network, bank, source)
    told = all(leaf.told for leaf in undrawn)

    def settle(*words: Point) -> Point:
        rest = iter(words)
        if any([{*itertools.islice(rest, len(way))} == {"yes"} for way in ways]):
            return "yes"
        looks = list(itertools.islice(rest, len(looked)))
        # Of two banks, what is linked with another is linked with the other one; of more, both must be.
        joined = (any if len(network.banks) == 2 else all)(word == "yes" for word in rest)
        word = "yes" if joined else "no"
        return word if told else none_or(looks, word)

    return Traced(
        settle,
        (*itertools.chain(*ways), *looked, *undrawn),
        name=f"what charges {source.name} reaches {bank.name}",
        formula="through a link or an in-vehicle charger that passes current while the vehicle stands; none drawn: "
        "no where all were looked for, else as told of the banks",
        source="the wiring as written and what was looked for",
        widest=YES_NO,
    )


def _undrawn(case: Case, network: Network, bank: Bank, source: Bank) -> list[Leaf]:
    """What was said of links that nobody drew, of either bank; of two banks one answer speaks for both."""
    leaves = [case.parts[name].leaf("link_to_others") for name in sorted((bank.name, source.name))]
    told = [leaf for leaf in leaves if leaf.told]
    return leaves if len(network.banks) > 2 else told or leaves[:1]


def _way(network: Network, part: Part, bank: Bank, source: Bank) -> list[Value]:
    """What must be yes for a part to pass on what charges `source`; nothing where it is drawn elsewhere."""
    link = part.acts_as("link")
    ends = ("out", "in") if link else ("", "in")
    forward = _lies(network, part, ends, bank, source)
    # An in-vehicle charger passes nothing back.
    lies = forward if forward is not None or not link else _lies(network, part, ends[::-1], bank, source)
    if lies is None:
        return []
    passes = _link(part, forward=forward is not None) if link else _charger(part)
    if lies:
        return [passes]
    return [passes, part.leaf("joins_banks")]


def _lies(network: Network, part: Part, ends: tuple[str, ...], bank: Bank, source: Bank) -> bool | None:
    """True: drawn from one bank to the other. False: it may be, an end is not drawn. None: it is not."""
    known = True
    for end, its in zip(ends, (bank, source), strict=True):
        terminal = f"{part.name}.{end}" if part.acts_as("link") else f"{part.name}.{end}+" if end else f"{part.name}+"
        net = network.net(terminal)
        if net & {f"{name}+" for name in its.batteries}:
            continue
        if net & {f"{name}+" for each in network.banks for name in each.batteries}:
            return None
        known = False
    return known


def _link(part: Part, *, forward: bool) -> Traced:
    """Whether a link passes current from its near bank on, by its sort, what closes it, its state and direction."""
    names = ("sort", "trigger", "state", "directions")

    def passes(sort: Point, trigger: Point, state: Point, directions: Point) -> Point:
        if sort in FOR_GOOD or state == "stuck_closed":
            return "yes"
        if sort in ONE_TO_MANY or state == "stuck_open":
            return "no"
        if trigger == "always":
            return "yes"
        if trigger in ("ignition", "never"):
            return "no"
        # Closed by the volts of the bank that is being charged, or by a hand that may have closed it.
        return "yes" if forward or directions == "both_ways" else "no"

    return Traced(
        passes,
        tuple(part.leaf(name) for name in names),
        name=f"{part.name} passes current while the vehicle stands",
        formula="by its sort, what closes it, its state and its direction",
        source="common practice, no source",
        widest=YES_NO,
    )


def _charger(part: Part) -> Traced:
    """Whether an in-vehicle charger runs while the vehicle stands: started by volts alone, or by nothing."""
    return Traced(
        lambda trigger: "yes" if trigger in ("voltage", "none") else "no",
        (part.leaf("trigger"),),
        name=f"{part.name} runs while the vehicle stands",
        formula="by what switches it on",
        source="common practice, no source",
        widest=YES_NO,
    )
