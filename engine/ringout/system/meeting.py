"""Where two AC sources could come onto the same wires, and what parts them there."""

from __future__ import annotations

import itertools

from ringout.case.case import Case, Part
from ringout.system.supply import Supply
from ringout.system.undrawn import BY_LEAD

UNNAMED = "another supply"


class Meeting:
    """Answers which sources the drawing leads to each input of a changeover, and which it keeps apart."""

    def __init__(self, case: Case, supply: Supply) -> None:
        self.case, self.supply = case, supply
        self.names = sorted(part.name for part, _ in supply.sources())

    def at(self, changeover: Part) -> list[tuple[str, str]]:
        """The pairs of sources that lie at different inputs of a changeover; where an input is not drawn, may lie.

        A changeover stands there for two supplies: one of which nobody wrote anything is `UNNAMED`.
        """
        drawn = [self.reach(feed) or {UNNAMED} for feed in self.supply.inputs.get(changeover.name, [])]
        if len(drawn) == 1:
            drawn.append(set(self.names) - drawn[0] or {UNNAMED})
        pairs = {pair for one, other in itertools.combinations(drawn, 2) for pair in itertools.product(one, other)}
        pairs = {(min(pair), max(pair)) for pair in pairs if pair[0] != pair[1]}
        undrawn = [*itertools.combinations(self.names, 2)] or [(name, UNNAMED) for name in self.names]
        return sorted(pairs) or undrawn

    def reach(self, port: str) -> frozenset[str]:
        """The sources that the drawing leads to an input ("part.port")."""
        return frozenset().union(*(self._above(source.split(".")[0]) for source in self.supply.feeds[port].sources))

    def _above(self, name: str) -> frozenset[str]:
        """The sources among a part and what lies above it; with those that are plugged in where shore is."""
        parts = self.supply.parts_above(name)
        plugged = self.supply.undrawn.parts if parts & self.supply.undrawn.inlets else []
        by_lead = {part.name for part in plugged if part.word("connected") == BY_LEAD}
        return frozenset(parts & set(self.names) | by_lead)

    def parted(self, one: str, other: str) -> bool:
        """Whether the drawing has them at different inputs of a changeover, or one above an input of the other."""
        if any(pair == (min(one, other), max(one, other)) for co in self.changeovers() for pair in self.at(co)):
            return True
        return any(far in self._above(near) for near, far in ((one, other), (other, one)))

    def together(self, one: str, other: str) -> bool:
        """Whether some part can be fed by either, in one way or another."""
        return any({one, other} <= self._above(name) - {name} for name in self.case.parts)

    def changeovers(self) -> list[Part]:
        """The changeovers of which more than one input is drawn."""
        drawn = self.supply.inputs
        return [part for part in self.case.with_role("changeover") if len(drawn.get(part.name, [])) > 1]
