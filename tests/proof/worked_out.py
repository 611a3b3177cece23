"""Leaves that no file states: ranges that the facts were put together to. Each is held against the facts and the file.

Volts that a consumer settles at are not solved again. They hold if they are closed: whatever the consumers beside
each other get within their ranges, their currents leave each of them volts within its own range. A map of a box
into itself has a point that stays where it is (Brouwer), so the state of rest lies within.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from typing import Any

import numbers_again as numbers
from written import CannotRead, first, origin, span

PREFIX = "worked_out."
LEAST_LEFT = 0.5
"""Part of the rested volts below which nothing that keeps its power up runs: what is less counts as this."""


class WorkedOut:
    """Checks such leaves of one review: `given` are the facts it began with, `raw` the file as names and texts."""

    def __init__(self, given: Iterable[Any], raw: dict[str, Any], draw: random.Random) -> None:
        self.given, self.raw, self.draw = list(given), raw, draw

    def wrong_with(self, leaf: Any) -> str:
        """What does not follow from the facts, empty where it does."""
        owner, _, what = leaf.path.removeprefix(PREFIX).rpartition(".")
        if what.startswith("volts_"):
            return self._settled(leaf, owner, what.removeprefix("volts_"))
        if what == "beside":
            wide = self._amps(leaf) if -leaf.domain.lo == leaf.domain.hi else float("inf")
        elif what == "unplaced":
            wide = self._amps(leaf) if leaf.domain.lo <= 0 else float("inf")
        elif what == "others":
            wide = 0.0 if 0 <= leaf.domain.lo <= leaf.domain.hi else float("inf")
        else:
            return f"{leaf.path}: nothing is known to be worked out so"
        return "" if wide <= leaf.domain.hi * (1 + 1e-9) else f"{leaf.path}: {leaf.domain} leaves out {wide} A"

    # -- volts -----------------------------------------------------------------------------------------------

    def _settled(self, leaf: Any, part: str, case: str) -> str:
        """Whether the volts a part gets stay within the leaf; those of its rating are among them where it may be so."""
        banks = {
            fact.keys["bank"] for fact in self.given if fact.type == "load_volts" and fact.keys["load"] == part
        }
        its = [fact for fact in self.given if self._of_case(fact, part, case)]
        if not its or len(banks) != 1:
            return f"{leaf.path}: no fact says what volts {part} gets"
        (bank,) = [fact for fact in self.given if fact.type == "bank" and fact.keys["part"] in banks]
        lo, hi = leaf.domain.lo, leaf.domain.hi
        for fact in its:
            if leaf.path not in numbers.beneath(fact.values["volts"]):
                return f"{leaf.path}: the volts of {fact.id} do not rest on it"
            both = fact.values["volts"], bank.values["rested"]
            # Where a reading made once may stand in, only what is worked out rests on the leaf.
            tried = [
                point
                for point in numbers.points(both, self.draw)
                if all(point[path] == "worked out" for path in point if path.endswith(".counts"))
            ]
            if not tried:
                return f"{leaf.path}: nothing could be tried"
            for point in tried:
                volts, rested = (numbers.run(value, point) for value in both)
                left = max(volts, LEAST_LEFT * rested)
                if not lo * (1 - 1e-9) <= left <= hi * (1 + 1e-9):
                    return f"{leaf.path}: {part} gets {left} V, outside {lo}..{hi}"
        said = self.raw["parts"][part]
        if "behaves" not in said and "current" in said and "power" not in said:
            rated = bank.values["nominal"]
            at = rated.domain if numbers.is_leaf(rated) else rated.domain()
            if not lo <= at.lo * (1 + 1e-9) or not at.hi * (1 - 1e-9) <= hi:
                return f"{leaf.path}: nobody knows that it keeps its power up, yet its rated volts are left out"
        return ""

    @staticmethod
    def _of_case(fact: Any, part: str, case: str) -> bool:
        if fact.type == "sag":
            return fact.keys["load"] == part and case == f"with_{fact.keys['appliance']}"
        return fact.type == "load_volts" and fact.keys["load"] == part and case == "everything_on"

    # -- currents --------------------------------------------------------------------------------------------

    def _amps(self, leaf: Any) -> float:
        """What the parts that a leaf names are stated to take or give (A), added up; endless where one is unknown."""
        found = 0.0
        for name in leaf.source.rpartition(": ")[2].split(", "):
            its = self.raw["parts"].get(name)
            if its is None:
                return float("inf")
            said = [its[key] for key in ("current", "output", "rating") if key in its]
            found += max((self._most(each) for each in said), default=0.0)
        return found

    @staticmethod
    def _most(said: Any) -> float:
        text = said["is"] if isinstance(said, dict) else said
        try:
            return span(origin(first(text))[0], "current")[1]
        except CannotRead:
            return 0.0  # watts: what they come to in amperes hangs on the volts
