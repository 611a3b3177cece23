"""Facts of the mains side: what feeds what in each state, what is behind an RCD, how the earth stands."""

from __future__ import annotations

from collections.abc import Iterator

from ringout.case.case import YES_NO, Case, Part
from ringout.facts.fact import Fact
from ringout.facts.looked import as_drawn, none_or
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import Point, Traced, Value, domain_of
from ringout.system.states import states
from ringout.system.supply import Supply

STATES = {
    "away": "away_on",
    "on_shore": "shore",
    "both_on": "shore_on",
    "left_over": "left_over",
    "on_generator": "generator",
}
"""Attribute of `ac_supply` -> the operating state it speaks of."""


class MainsFacts:
    """Makes the facts of the mains side of one case."""

    def __init__(self, case: Case, supply: Supply) -> None:
        self.case = case
        self.supply = supply

    def all(self) -> Iterator[Fact]:
        """Every fact of the mains side."""
        yield from self.supplies()
        yield from self.protections()
        yield from self.twins()
        yield from self.mains()

    def supplies(self) -> Iterator[Fact]:
        for consumer in self.supply.consumers():
            for source, sort in self.supply.sources():
                if source is not consumer:
                    values = {
                        name: self.supply.fed_by(consumer, source, states()[state])
                        for name, state in STATES.items()
                    }
                    keys = {"consumer": consumer.name, "source": source.name}
                    yield Fact("ac_supply", keys, values, known={"source_sort": sort})

    def twins(self) -> Iterator[Fact]:
        """Inverters alike that were written as one: what is drawn from them is fed by all of them."""
        for inverter in self.case.with_role("inverter"):
            count = inverter.leaf("count").domain
            if isinstance(count, Span) and count.hi > 1 and "stacked" in inverter.form.fields and self._feeds(inverter):
                yield Fact("twin_inverters", {"part": inverter.name}, {"stacked": inverter.leaf("stacked")})

    def _feeds(self, inverter: Part) -> bool:
        """Whether anything is drawn on the AC side of an inverter."""
        return any(source.split(".")[0] == inverter.name for feed in self.case.feeds for source in feed.sources)

    def protections(self) -> Iterator[Fact]:
        for outlet in self.case.with_role("outlet"):
            rcd = self._behind_rcd(outlet)
            yield Fact("shock_protection", {"outlet": outlet.name}, {"rcd": rcd})
        for fixed in self.case.with_role("appliance", "charger"):
            if self._wired_in(fixed):
                yield Fact("wired_in", {"appliance": fixed.name}, {"rcd": self._behind_rcd(fixed)})

    def _wired_in(self, part: Part) -> bool:
        """Whether a consumer is drawn or told to hang on the wiring itself: what an outlet feeds is judged there."""
        if part.acts_as("outlet", "inverter") or "rcd" not in part.form.fields:
            return False
        told = "connected" in part.form.fields and part.word("connected") == "hard_wired"
        ways = self.supply.passes(part, "outlet").domain()
        return ways == _NO or (told and ways != _ALL)

    def _behind_rcd(self, outlet: Part) -> Traced:
        """yes/no: what is drawn; where no RCD is drawn, what was looked for, else what was seen of it."""
        own, whole = outlet.leaf("rcd"), self.case.mains.leaf("rcd")
        # An inverter seen without one contradicts that all are behind one: then each outlet is asked about.
        # What is said of the outlets as a whole says nothing of what hangs on the wiring itself.
        alone = not outlet.acts_as("outlet") or own.known or _says(own) == _NO
        coarse = own if alone or (_says(whole) != _NO and self._without()) else whole
        loose = any(not self.supply.wired(part) for part in self.case.with_role("rcd"))

        def settle(ways: Point, looked: Point, said: Point) -> Point:
            if ways == "yes":
                return "yes"
            # An RCD that exists, nobody knows where, may be the very one.
            return none_or([looked], said) if ways == "no" and not loose else said

        return Traced(
            settle,
            (self.supply.passes(outlet, "rcd"), self.case.looked("rcd"), coarse),
            name=f"{outlet.name} behind an RCD",
            formula="as drawn; where none is drawn: no, if all were looked for, else what was seen of it",
            source="the wiring as written and what was looked for",
            widest=YES_NO,
        )

    def mains(self) -> Iterator[Fact]:
        """One fact for the whole mains side, wherever there is any."""
        sources = self.supply.sources()
        if not sources and not self.supply.consumers():
            return
        outlets, figures = bool(self.case.with_role("outlet")), self._earths("earth_ohm")
        earth = _worst("earth", self._earths("earth"), "")
        told = any(leaf.told for leaf in figures)
        tested = domain_of(earth) in (_SOUND, _BROKEN)
        values: dict[str, Value] = {
            "outlets": as_drawn("outlets are listed one by one", "yes" if outlets else "no"),
            "rcd": self._one_rcd(),
            "earth": earth,
            "earth_ohm": _worst("earth_ohm", figures, "resistance"),
            "figure": as_drawn("a figure of the earth matters", "yes" if told or not tested else "no"),
        }
        yield Fact("mains", {"site": "installation"}, values)

    def _earths(self, field: str) -> list[Leaf]:
        """What is said of the earth: at each inlet, or of the whole mains side where nothing is said there.

        Whatever else is said of an earth can only make it worse: a sound outlet proves no inlet.
        """
        whole = self.case.mains.leaf(field)
        inlets = [inlet.leaf(field) for inlet in self.case.with_role("inlet")]
        told = [whole]
        for part in self.case.parts.values():
            if part.kind not in BROUGHT:
                told += [part.leaves[name] for name in _EARTH[field] if name in part.leaves]
        first = [leaf if leaf.known or (leaf.told and not whole.known) else whole for leaf in inlets]
        first = first or [whole]
        return first + [leaf for leaf in told if leaf.known or (leaf.word is not None and leaf.word != _SOUND)]

    def _without(self) -> list[Leaf]:
        """What is said of inverters that are not behind an RCD."""
        stated = [each.leaf("rcd") for each in self.case.with_role("inverter")]
        return [leaf for leaf in stated if _says(leaf) == _NO]

    def _one_rcd(self) -> Leaf:
        """Whether all outlets are behind an RCD: an inverter without one settles it, one with it if alone."""
        coarse = self.case.mains.leaf("rcd")
        stated = [each.leaf("rcd") for each in self.case.with_role("inverter") if each.leaf("rcd").known]
        if without := self._without():
            return without[0]
        if coarse.known or not stated:
            return coarse
        return stated[0] if len(self.supply.sources()) == 1 else coarse


def _says(leaf: Leaf) -> Domain:
    """What is known, or only said, of a leaf."""
    return leaf.domain if leaf.word is None else leaf.word


_NO, _ALL = Choice(frozenset({"no"})), Choice(frozenset({"yes"}))
_SOUND, _BROKEN = Choice(frozenset({"proven"})), Choice(frozenset({"broken"}))
_EARTH = {"earth": ("earth", "case_earth"), "earth_ohm": ("earth_ohm",)}
"""The fields of parts that speak of an earth."""
BROUGHT = frozenset({"shore_lead", "generator"})
"""What is changed for another, or only brought along, is judged by itself."""
_WORST = ("broken", "not_proven", "proven")


def _worst(name: str, told: list[Leaf], dimension: str) -> Value:
    """The worst of what is said of an earth: one broken earth is enough, and one unknown leaves it open."""
    leaves = tuple({leaf.path: leaf for leaf in told}.values())
    if len(leaves) == 1:
        return leaves[0]

    def worst(*points: Point) -> Point:
        if dimension:
            return max(float(point) for point in points)
        return min((str(point) for point in points), key=_WORST.index)

    widest = None if dimension else Choice(frozenset(_WORST))
    says, source = "the worst of all", "what was seen and read"
    return Traced(worst, leaves, name=name, dimension=dimension, formula=says, source=source, widest=widest)
