"""Facts of cables that can be fed from more than one end, and of the cable before the first fuse.

A cable between two sources (two banks joined by a link, batteries side by side some way apart) is fed from both
ends when it chafes through: each end needs a fuse or breaker of its own, close to its source. That one is
missing is a fact only where every fuse and breaker was looked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import networkx as nx

from ringout.case.case import YES_NO, Hop, Part
from ringout.facts.banks import BankFacts
from ringout.facts.fact import Fact
from ringout.facts.looked import none_or
from ringout.physics.formulas import total_length_m
from ringout.quantity.leaf import Leaf
from ringout.quantity.traced import Point, Traced, Value
from ringout.system.network import Network, Step

LOOKED = ("fuse", "breaker")


def fuse_leads(its: BankFacts) -> Iterator[Fact]:
    """The cable between the plus posts of a bank and each first device; as told where none is drawn."""
    standing = its.network.supposed(its.bank)
    region = its.case.region
    devices = sorted(its.network.first_devices(its.bank).items())
    for device, way in devices:
        hops = [step.hop for step in way if step.hop is not None]
        values: dict[str, Value] = {
            "length": _length(hops, f"cable from {its.bank.name} to {device}"),
            "enclosed": enclosed(hops, f"cable from {its.bank.name} to {device} enclosed"),
            "region": region,
        }
        yield Fact("fuse_lead", {"bank": its.bank.name, "device": device}, values, standing=standing)
    if not devices and all(battery.word("main_fuse") != "no" for battery in its.batteries):
        told: dict[str, Value] = {
            "length": its.told("main_fuse_distance"),
            "enclosed": its.told("main_fuse_enclosed"),
            "region": region,
        }
        yield Fact("fuse_lead", {"bank": its.bank.name, "device": UNDRAWN}, told, standing=standing)


UNDRAWN = "its first fuse"
"""Stands for a device that nobody drew."""


def mate_leads(its: BankFacts) -> Iterator[Fact]:
    """From each battery at the top of a string to each other one: the cable before the first device on the way."""
    tops = [f"{string[0]}+" for string in its.bank.strings]
    if not its.bank.joined or len(tops) < 2:
        return
    standing = its.network.supposed(its.bank)
    for top in tops:
        for other in tops:
            if top != other and (way := _between(its.network, top, other, set(tops))) is not None:
                yield _mate(its, top[:-1], other[:-1], way, standing)


def _mate(its: BankFacts, one: str, other: str, way: list[Step], standing: tuple[Leaf, ...]) -> Fact:
    hops = [step.hop for step in way if step.hop is not None]
    devices = [n for n, step in enumerate(way) if step.device and _may_guard(its, step.device)]
    first = devices[0] if devices else len(way)
    before = [step.hop for step in way[:first] if step.hop is not None]
    name = f"cable from {one} toward {other}"
    values: dict[str, Value] = {
        "length": _length(hops, f"{name}, all of it"),
        "before": _length(before, f"{name}, before its first fuse"),
        "enclosed": enclosed(before, f"{name} enclosed"),
        "fused": _fused(its, [way[n].device for n in devices], name, hops[0].leaf("fused")),
        "region": its.case.region,
    }
    return Fact("mate_lead", {"bank": its.bank.name, "battery": one, "mate": other}, values, standing=standing)


def link_ends(its: BankFacts) -> Iterator[Fact]:
    """Each link that meets this bank: whether its lead to this bank passes a device, as drawn, else as told."""
    posts = {f"{name}+" for name in its.bank.batteries}
    for link in its.case.with_role("link"):
        for end in ("in", "out"):
            terminal = f"{link.name}.{end}"
            if not its.network.net(terminal) & posts:
                continue
            post = min(posts & its.network.net(terminal))
            way = _between(its.network, terminal, post, posts) or []
            devices = [step.device for step in way if step.device and _may_guard(its, step.device)]
            fused = _fused(its, devices, f"{link.name} toward {its.bank.name}", _told(link))
            standing = its.network.supposed(its.bank)
            yield Fact("link_end", {"link": link.name, "bank": its.bank.name}, {"fused": fused}, standing=standing)


def undrawn_links(network: Network) -> Iterator[Fact]:
    """Links that meet no bank in the drawing: fused at both ends as told."""
    posts = {f"{battery.name}+" for battery in network.case.with_role("storage")}
    for link in network.case.with_role("link"):
        if not any(network.net(f"{link.name}.{end}") & posts for end in ("in", "out")):
            values: dict[str, Value] = {"fused": _told(link)}
            yield Fact("link_end", {"link": link.name, "bank": "a battery"}, values)


def enclosed(hops: Sequence[Hop], name: str) -> Value:
    """Whether every piece of a cable runs in a conduit or sleeve of its own."""
    return Traced(
        lambda *each: "yes" if set(each) <= {"yes"} else "no",
        tuple(hop.leaf("enclosed") for hop in hops),
        name=name,
        formula="every piece of it",
        source="the wiring as written",
        widest=YES_NO,
    )


def _length(hops: Sequence[Hop], name: str) -> Value:
    return total_length_m.of(*(hop.length for hop in hops), name=name)


def _may_guard(its: BankFacts, device: str) -> bool:
    """A fuse or breaker that does its work, or one that is only supposed and may."""
    part = its.case.parts[device]
    return part.acts_as("overcurrent") and (part.guards or part.supposed)


def _told(link: Part) -> Value:
    return Traced(
        lambda fused: "yes" if fused == "both_ends" else "no",
        (link.leaf("fused"),),
        name=f"{link.name} fused at both ends",
        formula="as told",
        source="the case as written",
        widest=YES_NO,
    )


def _fused(its: BankFacts, devices: Sequence[str], name: str, told: Value) -> Value:
    """Whether a way passes a device: one that was seen settles it; none does where all were looked for."""
    parts = [its.case.parts[device] for device in devices]
    seen = any(part.guards for part in parts)
    there = [part.there for part in parts if part.supposed]
    looked = [its.case.looked(kind) for kind in LOOKED]

    def settle(said: Point, *words: Point) -> Point:
        if seen or "yes" in words[: len(there)]:
            return "yes"
        return none_or(words[len(there) :], said)

    return Traced(
        settle,
        (told, *there, *looked),
        name=f"{name} passes a fuse or breaker",
        formula="one is drawn: yes; none, and all were looked for: no; else as told",
        source="the wiring as written and what was looked for",
        widest=YES_NO,
    )


def _between(network: Network, start: str, end: str, posts: set[str]) -> list[Step] | None:
    """The shortest way between two terminals that passes no other of some posts; None where there is none."""
    graph = network.graph.subgraph(network.graph.nodes - (posts - {start, end}))
    if start not in graph or end not in graph or not nx.has_path(graph, start, end):
        return None
    return network.steps(nx.shortest_path(graph, start, end))
