"""Generators that stand in no drawing: a portable one is brought along, and nobody draws where it is plugged in.

By a lead into the inlet it feeds what shore feeds, from the inlet on: nothing of what stands at the post is there.
Wired in, nobody knows where, it may feed anything; what a look shows tells. What feeds one appliance only and is
joined to nothing aboard is no source of the installation.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ringout.case.case import Case, Part
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice
from ringout.quantity.traced import Point
from ringout.system.states import State

BY_LEAD, APART = "by_lead_to_inlet", "appliance_only"
"""How a generator may be joined: in the place of shore, or to nothing aboard."""
ANYWHERE = ("hard_wired", "into_an_outlet")
LOOK = "live_on_generator"
"""The field that says whether a look showed a part live while the generator runs."""


class Undrawn:
    """The generators of a case that its drawing leads nowhere, though they may feed what is aboard."""

    def __init__(self, case: Case) -> None:
        drawn = {name.split(".")[0] for feed in case.feeds for name in (*feed.sources, feed.to)}
        generators = [part for part in case.with_role("generator") if part.name not in drawn]
        self.apart = {part.name for part in generators if part.word("connected") == APART}
        self.parts = [part for part in generators if part.name not in self.apart]
        inlets = case.with_role("inlet") or case.with_role("shore_lead") or case.with_role("shore")
        self.inlets = frozenset(part.name for part in inlets if self.parts)
        """Where one is plugged in by a lead: at the inlets, else at what stands for shore."""

    @property
    def _which(self) -> Leaf:
        names = frozenset(part.name for part in self.parts)
        return Leaf("installation.which_generator", Choice(names), spot=self.parts[0].spot)

    def leaves(self, consumer: Part) -> Iterator[Leaf]:
        """What tells whether one of them feeds a consumer."""
        if self.parts and LOOK in consumer.form.fields:
            yield consumer.leaf(LOOK)
        if len(self.parts) > 1:
            yield self._which
        for part in self.parts:
            yield part.leaf("connected")

    def at_inlet(self, state: State, point: Mapping[str, Point]) -> str:
        """The one that feeds what hangs on the inlet, or ""."""
        return self._joined(state, point, (BY_LEAD,))

    def somewhere(self, consumer: Part, state: State, point: Mapping[str, Point]) -> str:
        """The one that is wired to something aboard, where a look shows the consumer live on it, or ""."""
        return self._joined(state, point, ANYWHERE) if point.get(f"{consumer.name}.{LOOK}") == "yes" else ""

    def _joined(self, state: State, point: Mapping[str, Point], ways: tuple[str, ...]) -> str:
        if "generator" not in state.live or not self.parts:
            return ""
        part = self.parts[0]
        if len(self.parts) > 1:
            part = next(each for each in self.parts if each.name == point[self._which.path])
        return part.name if point[part.leaf("connected").path] in ways else ""

    # -- what guards the ways down from them -----------------------------------------------------------------

    def guard_leaves(self) -> Iterator[Leaf]:
        """What tells whether they can feed something, and from behind an RCD of their own."""
        for part in self.parts:
            yield from (part.leaf("connected"), part.leaf("rcd"))

    def through_inlet(self, role: str, point: Mapping[str, Point]) -> set[bool | None]:
        """For each that is plugged into an inlet: whether its way passes a part of a role before it comes there."""
        by_lead = [part for part in self.parts if point[part.leaf("connected").path] == BY_LEAD]
        return {role == "rcd" and point[part.leaf("rcd").path] == "yes" for part in by_lead}

    def elsewhere(self, point: Mapping[str, Point]) -> bool:
        """Whether any is wired in where nobody drew it."""
        return any(point[part.leaf("connected").path] in ANYWHERE for part in self.parts)
