"""Two reviews of one installation compared: what is gone, what is new, what is only known now.

A finding keeps its identity across an edit: the rule with the parts it speaks of. A run is known by its two
ends, whatever line it stands on, and a new part stands for the one it replaces.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ringout.case.case import Case, Hop
from ringout.inference.chain import ORDER, Said, Verdict
from ringout.review.finding import Finding
from ringout.review.review import Review
from ringout.review.words import part_name

Identity = tuple[str, tuple[str, ...]]
"""A rule and the base parts of what it looks at."""

NOT_IN_CASE = "not in the case"
_PART = re.compile("[A-Za-z][A-Za-z0-9_]*")


@dataclass(frozen=True, slots=True)
class Standing:
    """How a finding stands in one review: the verdict, and its words and class where it is wrong or open."""

    verdict: Verdict | None
    """None where the rule has nothing to look at in that case."""
    finding: Finding | None = None

    @property
    def words(self) -> str:
        """The verdict for people."""
        return self.verdict.value if self.verdict is not None else NOT_IN_CASE

    @property
    def cls(self) -> int | None:
        """Its class, that of the worst beneath it; None where it is neither wrong nor open."""
        return self.finding.cls if self.finding is not None else None


@dataclass(frozen=True, slots=True)
class Change:
    """One finding before and after, in the words of the review in which it is wrong, of both the later."""

    identity: Identity
    title: str
    about: str
    before: Standing
    after: Standing

    @property
    def cls(self) -> int:
        """The graver of its two classes."""
        return min(cls for cls in (self.before.cls, self.after.cls) if cls is not None)


@dataclass(frozen=True, slots=True)
class Comparison:
    """Every finding that is wrong or newly open in one of two reviews, in exactly one of these lists.

    `gone` was wrong and is right, does not apply, or has nothing left to look at. `unsettled` was wrong and
    is not known now, which is not gone. `now_known` was not known and is wrong. `opened` is not known and was
    settled or not there before. `changed` repeats those of `still` whose class is another one.
    """

    gone: tuple[Change, ...]
    new: tuple[Change, ...]
    now_known: tuple[Change, ...]
    still: tuple[Change, ...]
    unsettled: tuple[Change, ...]
    opened: tuple[Change, ...]

    @property
    def changed(self) -> tuple[Change, ...]:
        """Still wrong, in another class."""
        return tuple(each for each in self.still if each.before.cls != each.after.cls)


def compare(before: Review, after: Review, replaces: Mapping[str, str] | None = None) -> Comparison:
    """What became of each finding. `replaces` leads from new parts to those whose place they take.

    What the second case itself says of that (`replaces: fmain` at a part) counts as well.
    """
    parts = after.case.parts.values()
    stated = {part.name: part.names["replaces"][0] for part in parts if part.names.get("replaces")}
    were = standings(before, {})
    are = standings(after, stated | dict(replaces or {}))
    found: dict[str, list[Change]] = {name: [] for name in Comparison.__dataclass_fields__}
    for identity in sorted(were.keys() | are.keys()):
        one = were.get(identity, Standing(None))
        other = are.get(identity, Standing(None))
        place = _place(one.verdict, other.verdict)
        if place:
            review, telling = (before, one) if place in ("gone", "unsettled") else (after, other)
            finding = telling.finding
            assert finding is not None  # what is wrong or open has its words
            about = _about(review.case, finding.said)
            found[place].append(Change(identity, finding.title, about, one, other))
    return Comparison(**{name: tuple(sorted(each, key=_order)) for name, each in found.items()})


def standings(review: Review, replaces: Mapping[str, str]) -> dict[Identity, Standing]:
    """How every finding that the rules could make stands, by identity; of two alike the worse."""
    words = {(each.rule.name, each.said.anchor.id): each for each in all_findings(review)}
    made: dict[Identity, Standing] = {}
    for said in review.chained.said:
        if said.rule.finding is None:
            continue
        key = identity(review.case, said, replaces)
        if key in made and _worse(made[key].verdict, said.verdict):
            continue
        made[key] = Standing(said.verdict, words.get((said.rule.name, said.anchor.id)))
    return made


def identity(case: Case, said: Said, replaces: Mapping[str, str]) -> Identity:
    """What a verdict is known by from one case to the next."""
    keys = said.anchor.keys.values()
    # Runs that are compared with each other stand in the order of their lines, which an edit may change.
    runs = iter(sorted(_ends(case.hops[key], replaces) for key in keys if key in case.hops))
    return said.rule.name, tuple(next(runs) if key in case.hops else replaces.get(key, key) for key in keys)


def all_findings(review: Review) -> Iterator[Finding]:
    """Every finding of a review, wrong or open, those beneath others as well."""
    queue = [*review.found, *review.open]
    while queue:
        finding = queue.pop(0)
        yield finding
        queue += finding.beneath


def _ends(hop: Hop, replaces: Mapping[str, str]) -> str:
    """What a run is known by: its two ends, the parts named as they were before."""
    ends = (_PART.sub(lambda part: replaces.get(part[0], part[0]), end, count=1) for end in (hop.a, hop.b))
    return " to ".join(sorted(ends))


def _worse(one: Verdict | None, other: Verdict) -> bool:
    return one is not None and ORDER.index(one) <= ORDER.index(other)


def _order(change: Change) -> tuple[int, Identity]:
    return change.cls, change.identity


def _place(before: Verdict | None, after: Verdict | None) -> str:
    """The list a finding belongs to, "" for one that was never wrong and is not newly open."""
    if before is Verdict.WRONG and after is Verdict.NOT_KNOWN:
        return "unsettled"
    if before is Verdict.WRONG:
        return "still" if after is Verdict.WRONG else "gone"
    if after is Verdict.WRONG:
        return "now_known" if before is Verdict.NOT_KNOWN else "new"
    return "opened" if after is Verdict.NOT_KNOWN and before is not Verdict.NOT_KNOWN else ""


def _about(case: Case, said: Said) -> str:
    return ", ".join(part_name(case, key) for key in said.anchor.keys.values())
