"""Whether the currents of one set add up where they meet: the strings of a bank, the branches of a busbar.

Of a bank the strings are compared with its total, of a bar all that is joined to it where each was read. Signs are
taken as they fit, for people write them either way; only sizes that fit in no way are called apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

from ringout.case.case import Case, Taken
from ringout.case.form import sheet
from ringout.facts.trust import as_found
from ringout.quantity.span import Span
from ringout.system.banks import Bank
from ringout.system.network import Network

MOST_BRANCHES = 8
"""A bar with more branches is not added up: among so many signs some would always fit."""


def apart(case: Case) -> frozenset[str]:
    """The names of readings that do not add up with the others of their set."""
    return frozenset(taken.name for read in _sums(case) if not _adds_up(read) for taken in read)


def added(case: Case) -> frozenset[str]:
    """The names of readings that were added up with others of their set."""
    return frozenset(taken.name for read in _sums(case) for taken in read)


def _sums(case: Case) -> Iterator[list[Taken]]:
    """The currents of one set that meet somewhere, wherever every branch was read."""
    sets: dict[str, dict[str, Taken]] = {}
    for taken in as_found(case):
        its = taken.reading
        if its.what == "current" and its.of and its.set and taken.value.known:
            sets.setdefault(its.set, {}).setdefault(its.of, taken)
    sets = {name: read for name, read in sets.items() if len(read) > 1}
    if not sets:
        return
    network = Network(case)
    meetings = [*_strings(network), *_bars(network)]
    for read in sets.values():
        for meeting in meetings:
            met = [next((read[name] for name in sorted(branch) if name in read), None) for branch in meeting]
            found = [each for each in met if each is not None]
            if len(found) == len(meeting):
                yield found


Meeting = Sequence[frozenset[str]]
"""Branches that meet: each by the names of parts and runs at which its current can be read."""


def _strings(network: Network) -> Iterator[Meeting]:
    """The strings of each bank that has a name of its own, and its total."""
    for bank in network.banks:
        if len(bank.strings) > 1 and bank.name not in bank.batteries:
            yield [frozenset({bank.name}), *(frozenset(string) for string in bank.strings)]


def _bars(network: Network) -> Iterator[Meeting]:
    for bars in network.case.with_role("bars"):
        for pole in "+-":
            node = f"{bars.name}{pole}"
            if node not in network.graph or not 2 <= len(network.graph.adj[node]) <= MOST_BRANCHES:
                continue
            yield [frozenset(_branch(network, node, there)) for there in sorted(network.graph.adj[node])]


def _branch(network: Network, back: str, here: str) -> set[str]:
    """What a current from a node passes and where it ends, as long as nothing branches off."""
    names: set[str] = set()
    start = back
    while here != start:
        cables = network.between(back, here)
        names |= {network.device(back, here)} if not cables else {cables[0].id} if len(cables) == 1 else set()
        onward = [there for there in network.graph.adj[here] if there != back]
        part = here.rstrip("+-").split(".")[0]
        bank = next((each for each in network.banks if part in each.batteries), None)
        if bank is not None:
            return names | _of_bank(network, bank, here)
        if not onward:
            single = network.case.parts[part].leaf("count").domain == Span(1.0, 1.0)
            return names | ({part} if single else set())
        if len(onward) > 1:
            return names
        back, here = here, onward[0]
    return set()  # round and back


def _of_bank(network: Network, bank: Bank, post: str) -> set[str]:
    """What a bank's current can be read at, where the lead off this post is the only one on its side."""
    posts = {f"{name}{pole}" for name in bank.batteries for pole in "+-"} & network.net(post)
    leads = [(end, there) for end in posts for there in network.graph.adj[end] if there not in posts]
    if len(leads) > 1:
        return set()
    return {bank.name, *bank.batteries} if len(bank.strings) == 1 else {bank.name}


def _adds_up(read: Sequence[Taken]) -> bool:
    """Whether currents can come to nought with some signs, each within the class of its instrument."""
    spans = [_within(each) for each in read]
    signs = product((1, -1), repeat=len(spans))
    return any(_holds_nought([_signed(*each) for each in zip(spans, some, strict=True)]) for some in signs)


def _within(taken: Taken) -> Span:
    span = taken.value.domain
    assert isinstance(span, Span)
    off = 0.0 if taken.reading.within is not None else sheet("reading").fields["current"].agrees / 2
    return Span(span.lo - off * abs(span.lo), span.hi + off * abs(span.hi))


def _signed(span: Span, sign: int) -> Span:
    return span if sign > 0 else Span(-span.hi, -span.lo)


def _holds_nought(spans: Sequence[Span]) -> bool:
    return sum(span.lo for span in spans) <= 0.0 <= sum(span.hi for span in spans)
