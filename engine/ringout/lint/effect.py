"""What a change of the rules does: every case reviewed by both rule bases, the findings compared."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path

from ringout.case.load import load
from ringout.inference.chain import Verdict
from ringout.kept import digest
from ringout.plan.compare import Change, Comparison, Standing, compare, standings
from ringout.report.wording import wording
from ringout.review.review import Review, review
from ringout.rulebase.load import rulebase
from ringout.shipped import knowledge_in
from ringout.text.problem import Problem, Spot, Unusable


@dataclass(frozen=True)
class Judged:
    """One rule base: its digest, its rules, and each case as it reviews it, or why it cannot read it."""

    digest: str
    rules: frozenset[str]
    reviews: tuple[Review | Unusable, ...]


@dataclass(frozen=True)
class Effect:
    """Two rule bases and what became of each finding of each case."""

    before: Judged
    after: Judged
    cases: tuple[Path, ...]
    changes: tuple[Comparison | Unusable, ...]
    """In the order of the cases; Unusable for one that only one of the two can read."""

    def of(self, *lists: str) -> Iterator[tuple[Path, Change]]:
        """The changes of these lists of all comparisons, case by case."""
        for path, made in zip(self.cases, self.changes, strict=True):
            if isinstance(made, Comparison):
                for name in lists:
                    yield from ((path, each) for each in getattr(made, name))

    def settled(self) -> Iterator[tuple[Path, Change]]:
        """What was not known by the rules before and is right, or not asked, by those after: look at each."""
        for path, one, other in zip(self.cases, self.before.reviews, self.after.reviews, strict=True):
            if isinstance(one, Review) and isinstance(other, Review):
                are = standings(other, {})
                for key, was in sorted(standings(one, {}).items()):
                    now = are.get(key, Standing(None))
                    if was.verdict is Verdict.NOT_KNOWN and now.finding is None:
                        assert was.finding is not None
                        yield path, Change(key, was.finding.title, ", ".join(was.finding.names), was, now)

    @property
    def unread(self) -> Iterator[tuple[Path, Unusable]]:
        """Cases that only one rule base can read, and what it finds wrong in them."""
        for path, made in zip(self.cases, self.changes, strict=True):
            if isinstance(made, Unusable):
                yield path, made


def effect(old: Path, cases: Sequence[Path], new: Path | None = None) -> Effect:
    """What the change from the rules in one folder to those in another (or the shipped ones) does.

    Raises Unusable where a rule base, or a case in both, cannot be read.
    """
    before, after = judged(cases, old), judged(cases, new)
    changes: list[Comparison | Unusable] = []
    for one, other in zip(before.reviews, after.reviews, strict=True):
        if isinstance(one, Unusable) and isinstance(other, Unusable):
            raise other
        faulty = next((each for each in (one, other) if isinstance(each, Unusable)), None)
        if faulty is None:
            assert isinstance(one, Review) and isinstance(other, Review)
            changes.append(compare(one, other))
        else:
            changes.append(faulty)
    return Effect(before, after, tuple(cases), tuple(changes))


def judged(cases: Sequence[Path], root: Path | None) -> Judged:
    """All cases by the rules in a folder; None for the shipped ones. Raises Unusable for faulty knowledge."""
    with knowledge_in(root) if root is not None else nullcontext():
        if root is not None and not (root / "facts.yaml").is_file():
            found = "no facts.yaml in it" if root.is_dir() else "no such folder"
            raise Unusable([Problem(Spot(str(root), 1, 1), "", "a folder of rules", found)])
        wording()
        rules = rulebase()
        if not rules:
            raise Unusable([Problem(Spot(str(root), 1, 1), "", "a folder of rules", "no rule in it")])
        return Judged(digest(), frozenset(rule.name for rule in rules), tuple(_review(path) for path in cases))


def _review(path: Path) -> Review | Unusable:
    try:
        return review(load(path), "plain")
    except Unusable as fault:
        return fault
