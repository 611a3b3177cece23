"""Banks: batteries joined for good by the wiring, declared as one, or loose and of one duty."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import networkx as nx

from ringout.case.case import Case, Part


@dataclass(frozen=True, slots=True)
class Bank:
    """Batteries joined for good: `strings` of batteries in series, the strings in parallel.

    `joined` is false where nobody wrote how the batteries are joined.
    """

    name: str
    batteries: tuple[str, ...]
    strings: tuple[tuple[str, ...], ...]
    joined: bool


def banks(case: Case, nets: Mapping[str, frozenset[str]]) -> list[Bank]:
    """The banks of a case, by name; `nets` gives all terminals joined with one, by terminal.

    A bank that nobody named goes by the first of its batteries in order of name: which was written first says nothing.
    """
    batteries = sorted(case.with_role("storage"), key=lambda part: part.name)
    net = {end: nets.get(end, frozenset()) for part in batteries for end in (f"{part.name}+", f"{part.name}-")}
    together: nx.Graph[str] = nx.Graph()
    together.add_nodes_from(part.name for part in batteries)
    direct = {ends for hop in case.hops.values() for ends in ((hop.a, hop.b), (hop.b, hop.a))}
    series: nx.DiGraph[str] = nx.DiGraph()
    series.add_nodes_from(together)
    for n, one in enumerate(batteries):
        for other in batteries[n + 1 :]:
            if f"{other.name}+" in net[f"{one.name}+"]:
                together.add_edge(one.name, other.name)
        for other in batteries:
            if other is not one and f"{other.name}+" in net[f"{one.name}-"]:
                together.add_edge(one.name, other.name)
                series.add_edge(one.name, other.name, direct=(f"{one.name}-", f"{other.name}+") in direct)
    declared = _declared(case)
    for names in (*declared.values(), *_loose(batteries, nets, declared)):
        nx.add_path(together, names)
    found = []
    for group in nx.connected_components(together):
        names = sorted(group)
        own = min((bank for bank, of in declared.items() if set(of) & group), default="")
        strings = _strings(names, series)
        # Both ends of every string must meet: a bank of which half is drawn is not known to be joined.
        tops, ends = net[f"{strings[0][0]}+"], net[f"{strings[0][-1]}-"]
        met = all(f"{each[0]}+" in tops and f"{each[-1]}-" in ends for each in strings)
        joined = len(names) == 1 or met
        if not joined:
            strings = tuple((name,) for name in names)
        found.append(Bank(own or names[0], tuple(names), strings, joined))
    return sorted(found, key=lambda bank: bank.batteries[0])


def _declared(case: Case) -> dict[str, list[str]]:
    """Banks written as such, with their batteries."""
    found = {}
    for part in case.with_role("bank"):
        names = [name for name in part.names.get("of", ()) if name in case.parts]
        if names:
            found[part.name] = names
    return found


def _loose(
    batteries: list[Part], nets: Mapping[str, frozenset[str]], declared: Mapping[str, list[str]]
) -> list[list[str]]:
    """Batteries of which nobody wrote how they are joined, by their duty."""
    found: dict[str, list[str]] = {}
    for part in batteries:
        wired = f"{part.name}+" in nets and f"{part.name}-" in nets
        if not wired and not any(part.name in names for names in declared.values()):
            found.setdefault(part.texts.get("duty", part.word("duty") or "house"), []).append(part.name)
    return list(found.values())


def _strings(names: list[str], series: nx.DiGraph[str]) -> tuple[tuple[str, ...], ...]:
    """Batteries of one bank sorted into series strings, the most positive first.

    Where strings are also linked across the middle, all batteries of one height touch all of the next: the runs
    from one battery straight to another tell the strings apart, and only where there are none the order of names.
    """
    within = series.subgraph(names)
    strings: list[tuple[str, ...]] = []
    for group in nx.weakly_connected_components(within):
        members = within.subgraph(group)
        if nx.is_directed_acyclic_graph(members):
            first, *rest = [sorted(each, key=names.index) for each in nx.topological_generations(members)]
            made: list[tuple[str, ...]] = [(top,) for top in first]
            for height in rest:
                made = _lengthened(made, height, members)
            strings += made
        else:
            strings.append(tuple(sorted(members)))
    return tuple(sorted(strings, key=lambda string: names.index(string[0])))


def _lengthened(
    strings: list[tuple[str, ...]], height: list[str], series: nx.DiGraph[str]
) -> list[tuple[str, ...]]:
    """Each string with one battery more of the next height; a string for which none is left is dropped."""
    below: dict[str, str] = {}
    for straight in (True, False):
        for string in strings:
            free = [name for name in height if name not in below.values()]
            fit = [name for name in free if not straight or series.edges.get((string[-1], name), {}).get("direct")]
            if string[-1] not in below and fit:
                below[string[-1]] = fit[0]
    return [(*string, below[string[-1]]) for string in strings if string[-1] in below]
