"""Facts of what makes or brings mains aboard: which two can meet, and how their neutral stands to earth."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from ringout.case.case import YES_NO, Case, Part
from ringout.facts.fact import Fact
from ringout.facts.looked import DRAWN, as_drawn
from ringout.quantity.traced import Point, Traced, Value
from ringout.system.meeting import Meeting
from ringout.system.supply import Supply

BONDED = frozenset({"bonded_always", "bonded_when_running", "bonded_when_inverting"})
FLOATING = frozenset({"floating", "isolated_windings", "filter_coupled"})
"""What papers say of a source's neutral; their other words do not say whether it is joined to earth."""
LEAVES_NEUTRAL = frozenset({"L", "L1_L2"})
"""What a changeover breaks that leaves neutral joined through."""


class SourceFacts:
    """Makes the facts of the AC sources of one case."""

    def __init__(self, case: Case, supply: Supply) -> None:
        self.case, self.supply, self.meeting = case, supply, Meeting(case, supply)
        self.sources = supply.sources()

    def all(self) -> Iterator[Fact]:
        """Every fact of the AC sources."""
        yield from self.pairs()
        yield from self.inverters()
        for source, sort in self.sources:
            if sort in ("inverter", "generator"):
                yield self.neutral(source, sort)
            if sort == "generator":
                yield from self.apart(source)

    # -- which can meet --------------------------------------------------------------------------------------

    def pairs(self) -> Iterator[Fact]:
        """At each changeover the pairs of sources that it chooses between, two inverters apart from all else."""
        sorts = {part.name: sort for part, sort in self.sources}
        for changeover in self.case.with_role("changeover"):
            for one, other in self.meeting.at(changeover):
                sort = "inverters" if {sorts.get(one), sorts.get(other)} == {"inverter"} else "unlike"
                keys = {"changeover": changeover.name, "one": one, "other": other}
                yield Fact("supply_pair", keys, known={"sorts": sort})

    def inverters(self) -> Iterator[Fact]:
        """Each two inverters, written apart: whether their outputs can meet, and whether both are set for it."""
        inverters = sorted((part for part, sort in self.sources if sort == "inverter"), key=lambda part: part.name)
        for one, other in itertools.combinations(inverters, 2):
            values: dict[str, Value] = {"joined": self._joined(one, other), "stacked": _both_stacked(one, other)}
            yield Fact("inverter_pair", {"one": one.name, "other": other.name}, values)

    def _joined(self, one: Part, other: Part) -> Value:
        """yes/no: whether nothing parts the outputs of two inverters."""
        name = f"outputs of {one.name} and {other.name} joined"
        pair = (min(one.name, other.name), max(one.name, other.name))
        over = [each for each in self.meeting.changeovers() if pair in self.meeting.at(each)]
        if over:

            def at_changeovers(*works: Point) -> Point:
                return "yes" if "none" in works else "no"

            leaves = tuple(each.leaf("works") for each in over)
            says = "at different inputs of a changeover: by how it works"
            return Traced(at_changeovers, leaves, name=name, formula=says, source=DRAWN, widest=YES_NO)
        told = [part.leaf("shares_outlets") for part in (one, other)]
        known = [leaf for leaf in told if leaf.known]
        if len(known) > 1:

            def worse(*words: Point) -> Point:
                return "yes" if "yes" in words else "no"

            says = "as told of either"
            return Traced(worse, tuple(known), name=name, formula=says, source="what was seen", widest=YES_NO)
        if known:
            return known[0]
        if self.meeting.parted(*pair) or self._own_nets(one, other):
            return as_drawn(name, "no")
        return told[0]

    def _own_nets(self, one: Part, other: Part) -> bool:
        """Whether each feeds what the other cannot reach: as drawn, or by outlets of its own."""
        if any(_word(part, "output_by") == "own_outlets" for part in (one, other)):
            return True
        drawn = all(self._feeds(part) for part in (one, other))
        return drawn and not self.meeting.together(one.name, other.name)

    def _feeds(self, part: Part) -> bool:
        return any(source.split(".")[0] == part.name for feed in self.case.feeds for source in feed.sources)

    def apart(self, generator: Part) -> Iterator[Fact]:
        """The generator against each other source, but for those that a changeover of the drawing chooses between."""
        drawn = [each for each in self.case.with_role("changeover") if each.name in self.supply.inputs]
        chosen = {pair for each in drawn for pair in self.meeting.at(each)}
        for other, _ in self.sources:
            pair = (min(generator.name, other.name), max(generator.name, other.name))
            if other is not generator and (pair not in chosen or not self.supply.wired(generator)):
                keys = {"generator": generator.name, "other": other.name}
                yield Fact("generator_apart", keys, {"apart": self._apart(generator, other)})

    def _apart(self, generator: Part, other: Part) -> Value:
        """yes/no: whether something keeps a generator and another source from being on at one time."""
        kept, name = generator.leaf("kept_apart"), f"{generator.name} kept apart from {other.name}"
        if self.supply.wired(generator):
            names = generator.name, other.name
            if self.meeting.parted(*names) or not self.meeting.together(*names):
                return as_drawn(name, "yes")

            def told(kept: Point) -> Point:
                return "no" if kept == "nothing" else "yes"

            return Traced(told, (kept,), name=name, formula="as told", source=DRAWN, widest=YES_NO)

        def settle(connected: Point, kept: Point) -> Point:
            # A lead has one end: what is plugged into the inlet stands in the place of shore.
            return "yes" if connected == "by_lead_to_inlet" or kept != "nothing" else "no"

        says = "one inlet takes one plug; what is wired in: as told"
        leaves = (generator.leaf("connected"), kept)
        return Traced(settle, leaves, name=name, formula=says, source=DRAWN, widest=YES_NO)

    # -- how neutral stands to earth -------------------------------------------------------------------------

    def neutral(self, source: Part, sort: str) -> Fact:
        """Whether neutral is joined to earth in an inverter or generator, and whether it is aboard while that feeds."""
        values = {"own": _own_bond(source), "aboard": self._bond_aboard(source, sort)}
        return Fact(f"{sort}_neutral", {"source": source.name}, values)

    def _bond_aboard(self, source: Part, sort: str) -> Value:
        """yes/no: whether anything else aboard joins neutral to earth while a source feeds."""
        name = f"neutral joined to earth aboard while {source.name} feeds"
        bonds = [part for part in self.case.parts.values() if part.kind == "bond"]
        if not bonds and self.case.mains.word("neutral_earth") == "none":
            return as_drawn(name, "no")
        told, then = self.case.mains.leaf(f"neutral_earth_on_{sort}"), ("always", f"on_{sort}_only")
        breaks = [each.leaf("breaks") for each in self.case.with_role("changeover")]
        of_bonds = [leaf for bond in bonds for leaf in (bond.leaf("between"), bond.leaf("exists"))]
        others = [part.leaf("neutral") for part in self.case.with_role("inverter") if part is not source]

        def settle(said: Point, *words: Point) -> Point:
            rest = iter(words)
            fixed = [tuple(itertools.islice(rest, 2)) for _ in bonds]
            through = bool(LEAVES_NEUTRAL & set(itertools.islice(rest, len(breaks))))
            if any(between == "neutral_and_earth" and exists in then for between, exists in fixed):
                return "yes"
            return "yes" if through and "bonded_always" in rest else said

        return Traced(
            settle,
            (told, *of_bonds, *breaks, *others),
            name=name,
            formula="a joint that exists then, or another inverter's own behind a changeover that leaves neutral "
            "through; else as tested",
            source=DRAWN,
            widest=YES_NO,
        )


def _own_bond(source: Part) -> Value:
    """yes/no: whether a source joins neutral to earth while it feeds, as tested, else as its papers say."""
    tested = source.leaf("bond_tested")
    if tested.known:
        return tested

    def settle(neutral: Point, tested: Point) -> Point:
        return "yes" if neutral in BONDED else "no" if neutral in FLOATING else tested

    leaves = (source.leaf("neutral"), tested)
    return Traced(
        settle,
        leaves,
        name=f"neutral joined to earth in {source.name}",
        formula="as its papers say, else as tested",
        source="what a test showed outranks the papers",
        widest=YES_NO,
    )


def _both_stacked(one: Part, other: Part) -> Traced:
    """yes/no: whether both of two inverters are made and set to work beside others."""
    return Traced(
        lambda *stacked: "no" if "no" in stacked else "yes",
        (one.leaf("stacked"), other.leaf("stacked")),
        name=f"{one.name} and {other.name} set to work together",
        formula="both of them",
        source="their settings",
        widest=YES_NO,
    )


def _word(part: Part, field: str) -> str | None:
    return part.word(field) if field in part.form.fields else None
