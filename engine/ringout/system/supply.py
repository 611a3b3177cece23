"""The AC side: which source an AC consumer is fed from in each operating state.

A consumer has one feeder; the walk goes upstream. Where the wiring is not known, the answer is a function of
open word leaves (which of two feeds, how a changeover works, which supply wins there, whether a look showed it
live), so that every possible wiring is a world of its own and only the leaves on this consumer's own way up take
part.
"""

from __future__ import annotations

from collections.abc import Mapping

from ringout.case.case import NOTHING, YES_NO, Case, Feed, Part
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice
from ringout.quantity.traced import Point, Traced
from ringout.system.states import State
from ringout.system.undrawn import LOOK, Undrawn

BY_HAND = frozenset({"by_hand", "plug_swap", "interlocked_breakers"})
WANTED = ""
"""Stands among the points for the source that is asked about."""
LOOKS = {"shore": "live_on_shore", "inverter": "live_on_inverter", "generator": LOOK}
"""Sort of source -> the field that says whether a look showed the part live on it."""


class Supply:
    """Answers what feeds a consumer. Built once for a case."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.feeds: dict[str, Feed] = {feed.to: feed for feed in case.feeds}
        self.inputs: dict[str, list[str]] = {}
        for feed in case.feeds:
            self.inputs.setdefault(feed.to.split(".")[0], []).append(feed.to)
        self.of_sort: dict[str, list[str]] = {}
        self.undrawn = Undrawn(case)
        found = [(part, self.source_name(part)) for part in case.parts.values()]
        self._sources = [(part, sort) for part, sort in found if sort and part.name not in self.undrawn.apart]
        for part, sort in self._sources:
            self.of_sort.setdefault(sort, []).append(part.name)
        self.by_look = {part.name for part in case.parts.values() if self._by_look(part)}

    def consumers(self) -> list[Part]:
        """The parts that use or hand out AC: chargers, appliances, outlets."""
        return self.case.with_role("charger", "appliance", "outlet")

    def sources(self) -> list[tuple[Part, str]]:
        """The sources with their sort: shore, inverter, generator; not one that only feeds an appliance of its own."""
        return self._sources

    def source_name(self, part: Part) -> str | None:
        """The sort of source a part is: inverter, generator, shore (an inlet that nothing feeds), or None."""
        if part.acts_as("shore"):
            return "shore"
        if part.acts_as("inlet", "shore_lead") and part.name not in self.inputs:
            return "shore"
        if part.acts_as("generator"):
            return "generator"
        return "inverter" if part.acts_as("inverter") else None

    def fed_by(self, consumer: Part, source: Part, state: State) -> Traced:
        """yes/no: whether `consumer` takes its AC from `source` in `state`."""
        leaves = self._leaves(consumer.name, set(), [])
        if "generator" in state.live:
            leaves = list({leaf.path: leaf for leaf in (*leaves, *self.undrawn.leaves(consumer))}.values())

        def walk(*values: Point) -> Point:
            point = dict(zip((leaf.path for leaf in leaves), values, strict=True)) | {WANTED: source.name}
            arriving = self._arriving(consumer.name, state, point, frozenset())
            return "yes" if (arriving or self.undrawn.somewhere(consumer, state, point)) == source.name else "no"

        return Traced(
            walk,
            tuple(leaves),
            name=f"{consumer.name} fed by {source.name}: {state.says}",
            formula="the way up the AC wiring from consumer to source",
            source="the wiring as written",
            widest=YES_NO,
        )

    def wired(self, part: Part) -> bool:
        """Whether any AC feed to or from a part is written."""
        return part.name in self.inputs or any(
            source.split(".")[0] == part.name for feed in self.case.feeds for source in feed.sources
        )

    def passes(self, consumer: Part, role: str) -> Traced:
        """Whether every way up from a consumer to a source passes a part of a role.

        yes, no, none drawn, or only some drawn: of the others nobody knows.
        """
        leaves = [*self._feeds_above(consumer.name, set(), []), *self.undrawn.guard_leaves()]

        def walk(*values: Point) -> Point:
            point = dict(zip((leaf.path for leaf in leaves), values, strict=True))
            ways = self._passes(consumer.name, role, point, frozenset())
            if ways and self.undrawn.elsewhere(point):
                ways = ways | {None}
            if not ways:
                return "none"
            return "no" if False in ways else "some" if None in ways else "yes"

        return Traced(
            walk,
            tuple(leaves),
            name=f"ways up from {consumer.name} pass: {role}",
            formula="every way up the AC wiring",
            source="the wiring as written",
            widest=Choice(frozenset({"yes", "no", "none", "some"})),
        )

    # -- the walk up -----------------------------------------------------------------------------------------

    def _by_look(self, part: Part) -> bool:
        """Whether a part is judged by what a look shows: its feed is not drawn, or not all the way up.

        A look that shows it live on a source which the drawing does not lead to outranks the drawing.
        """
        if LOOKS["shore"] not in part.form.fields or self.source_name(part) == "shore":
            return False
        above = self._sorts_above(part.name)
        above |= {"generator"} if self.undrawn.parts else set()
        if any(part.word(field) == "yes" and sort not in above for sort, field in LOOKS.items()):
            return True
        looked = any(part.leaf(field).known for field in LOOKS.values())
        return part.name not in self.inputs or (looked and not self._drawn(part.name, frozenset()))

    def _sorts_above(self, name: str) -> set[str]:
        """The sorts of source that the drawing leads up to; any sort where a changeover is half drawn."""
        above = self.parts_above(name)
        if any(self._half_drawn(self.case.parts[each]) for each in above):
            return set(self.of_sort)
        return {sort for sort, names in self.of_sort.items() if not (above - {name}).isdisjoint(names)}

    def _drawn(self, name: str, seen: frozenset[str]) -> bool:
        """Whether the wiring as written leads up to sources all the way."""
        ports = self.inputs.get(name, [])
        if not ports:
            return self.source_name(self.case.parts[name]) is not None
        return name not in seen and all(
            self._drawn(source.split(".")[0], seen | {name})
            for port in ports
            for source in self.feeds[port].sources
        )

    def _leaves(self, name: str, seen: set[str], found: list[Leaf]) -> list[Leaf]:
        """The open or settled word leaves on the way up, each once."""
        if name in seen:
            return found
        seen.add(name)
        part = self.case.parts[name]
        ports = self.inputs.get(name, [])
        if name in self.by_look or self._half_drawn(part):
            for sort, field in LOOKS.items():
                possible = self._possible(part, sort)
                if possible:
                    found.append(part.leaf(field))
                if len(possible) > 1:
                    found.append(self._which(part, sort))
        if name in self.by_look:
            return found
        if part.acts_as("changeover"):
            found.append(part.leaf("works"))
            if not self._by_hand(part):
                found.append(part.leaf("wins"))
            found += [self._which(part, sort) for sort in self._several(part)]
        for port in ports:
            feed = self.feeds[port]
            found.append(feed.choice)
            for source in feed.sources:
                self._leaves(source.split(".")[0], seen, found)
        return found

    def _by_hand(self, part: Part) -> bool:
        """Whether a changeover surely stands where somebody put it: then no supply wins by itself."""
        works = part.leaf("works").domain
        return isinstance(works, Choice) and works.options <= BY_HAND

    def _several(self, changeover: Part) -> list[str]:
        """The sorts of source of which more than one can arrive at a changeover: each input brings one at a time."""
        if changeover.word("works") == "none":
            return []  # nothing parts them: both feed
        inputs = [
            set[str]().union(*(self.parts_above(each) for each in self.feeds[port].sources)) - {changeover.name}
            for port in self.inputs.get(changeover.name, [])
        ]
        found = []
        for sort, names in self.of_sort.items():
            arriving = [above.intersection(names) for above in inputs]
            if sum(map(bool, arriving)) > 1 and len(set[str]().union(*arriving)) > 1:
                found.append(sort)
        return found

    def parts_above(self, name: str) -> set[str]:
        """A part and all that the drawing leads to it, in one way or another."""
        found, queue = set[str](), [name]
        while queue:
            name = queue.pop().split(".")[0]
            if name not in found:
                found.add(name)
                queue += [each for port in self.inputs.get(name, []) for each in self.feeds[port].sources]
        return found

    def _half_drawn(self, part: Part) -> bool:
        """Whether a changeover has only one of its inputs drawn: the other is judged by a look."""
        return part.acts_as("changeover") and len(self.inputs.get(part.name, [])) == 1

    def _possible(self, part: Part, sort: str) -> list[str]:
        """The sources of a sort that may feed a part whose feed is not drawn."""
        return [name for name in self.of_sort.get(sort, []) if name != part.name]

    def _which(self, part: Part, sort: str) -> Leaf:
        path = f"{part.name}.which_{sort}"
        return Leaf(path, Choice(frozenset(self._possible(part, sort))), spot=part.spot)

    def _supplied(self, name: str, state: State, point: Mapping[str, Point], seen: frozenset[str]) -> str:
        """The source that a part is fed from, or "" (itself, where it is a live source)."""
        if name in seen:
            return ""
        part = self.case.parts[name]
        arriving = self._arriving(name, state, point, seen)
        if arriving:
            return arriving
        sort = self.source_name(part)
        if sort is not None and sort in state.live:
            return name
        return self.undrawn.at_inlet(state, point) if name in self.undrawn.inlets else ""

    def _arriving(self, name: str, state: State, point: Mapping[str, Point], seen: frozenset[str]) -> str:
        """The source whose AC arrives at a part's own input, or ""."""
        part = self.case.parts[name]
        ports = self.inputs.get(name, [])
        seen = seen | {name}
        if name in self.by_look:
            return self._observed(part, state, point)
        if part.acts_as("changeover"):
            return self._selected(part, ports, state, point, seen)
        for port in ports:
            found = self._from_feed(self.feeds[port], state, point, seen)
            if found:
                return found
        return ""

    def _from_feed(self, feed: Feed, state: State, point: Mapping[str, Point], seen: frozenset[str]) -> str:
        source = str(point[feed.choice.path])
        return "" if source == NOTHING else self._supplied(source.split(".")[0], state, point, seen)

    def _selected(
        self, part: Part, ports: list[str], state: State, point: Mapping[str, Point], seen: frozenset[str]
    ) -> str:
        found = [self._from_feed(self.feeds[port], state, point, seen) for port in ports]
        if self._half_drawn(part):
            found.append(self._observed(part, state, point))
        live: dict[str | None, str] = {}
        for source in sorted(set(found) - {""}):
            sort = self.source_name(self.case.parts[source])
            which = f"{part.name}.which_{sort}"
            # Two of one sort: where nothing parts them both feed, else it stands on one of them.
            takes = point[WANTED] if point[part.leaf("works").path] == "none" else point.get(which)
            live[sort] = source if source == takes else live.get(sort, source)
        takes = state.takes
        if point[part.leaf("works").path] not in BY_HAND:
            order = (point[part.leaf("wins").path], "shore", "generator", "inverter")
            takes = next((str(sort) for sort in order if sort in live), takes)
        if takes in live:
            return live[takes]
        # A hand changeover stands on the side that is wanted, where there is anything.
        return min(live.values(), default="")

    def _observed(self, part: Part, state: State, point: Mapping[str, Point]) -> str:
        """A part whose feed nobody drew: what a look at it in that state would show."""
        first = ("inverter", "shore") if state.takes == "inverter" else ("shore", "generator", "inverter")
        for sort in first:
            possible = self._possible(part, sort)
            if sort in state.live and possible and point[part.leaf(LOOKS[sort]).path] == "yes":
                return str(point[f"{part.name}.which_{sort}"]) if len(possible) > 1 else possible[0]
        return ""

    def _feeds_above(self, name: str, seen: set[str], found: list[Leaf]) -> list[Leaf]:
        """The leaves that say where the feeds above a part come from, each once."""
        if name in seen:
            return found
        seen.add(name)
        if self.case.parts[name].acts_as("generator"):
            found.append(self.case.parts[name].leaf("rcd"))
        for port in self.inputs.get(name, []):
            found.append(self.feeds[port].choice)
            for source in self.feeds[port].sources:
                self._feeds_above(source.split(".")[0], seen, found)
        return found

    def _passes(
        self, name: str, role: str, point: Mapping[str, Point], seen: frozenset[str]
    ) -> set[bool | None]:
        """For each way up that ends at a source: whether it passes a part of the role, this one included.

        None stands for a way that is there and not drawn.
        """
        part = self.case.parts[name]
        if name in seen:
            return set()
        own = role == "rcd" and part.acts_as("generator") and point[part.leaf("rcd").path] == "yes"
        here = own or (part.acts_as(role) and part.guards)
        ways: set[bool | None] = set()
        for port in self.inputs.get(name, []):
            above = str(point[self.feeds[port].choice.path])
            if above != NOTHING:
                ways |= self._passes(above.split(".")[0], role, point, seen | {name})
        if self.source_name(part) is not None and (not ways or part.acts_as("inverter")):
            ways |= {False}
        if name in self.undrawn.inlets:
            # What guards the way at the post guards nothing of what a generator feeds through the same inlet.
            ways |= self.undrawn.through_inlet(role, point)
        if ways and (self._half_drawn(part) or name in self.by_look):
            ways |= {None}
        return {True} if ways and here else ways
