"""The annex of a printed review: proof and numbers of each finding, what would settle the rest, sources."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import chain, repeat

from ringout.report.hangs import moving
from ringout.report.view import View, consequences, counted, grouped, where
from ringout.report.wording import wording
from ringout.review.finding import Finding
from ringout.review.needs import influence, need_of
from ringout.review.proof import Input, Number, Proof, proof
from ringout.review.review import Review
from ringout.rulebase.rule import PROBABILITIES, SEVERITIES

RISK = "MIL-STD-882E (standard practice, 2012), tables I to III: severity and probability make a risk"
NEEDS = 3
"""Answers named beside an open verdict: those that bear on it most; the rest are counted."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A row of numbers: a value and how it comes about, or (`beneath`) one of the inputs it is made of."""

    name: str
    value: str
    how: str
    line: str
    source: int
    """Number of the source in the list of sources, 0 where there is none."""
    beneath: bool = False


@dataclass(frozen=True, slots=True)
class Because:
    """One step of a proof: its rule, and each comparison with its outcome."""

    rule: str
    verdict: str
    lines: Sequence[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Detail:
    """One finding in full."""

    title: str
    where: str
    seen: str
    risk: str
    holds: str
    """How far the assumed and tabled values beneath it may move; "" where none within reach changes it."""
    steps: Sequence[Because]
    figures: Sequence[Figure]


@dataclass(frozen=True, slots=True)
class Entry:
    """All findings under one headline; `number` is that of the headline, 0 where there was no room for it."""

    number: int
    title: str
    rule: str
    says: str
    wrong_when: str
    sources: Sequence[int]
    details: Sequence[Detail]


@dataclass(frozen=True, slots=True)
class Open:
    """A verdict that is not known: answers that would settle it, how many more bear on it, or one reading."""

    title: str
    rule: str
    where: str
    asks: Sequence[str]
    more: int
    reading: str


@dataclass(frozen=True, slots=True)
class Annex:
    """Findings, open verdicts by the words of their class, what came out right by area, sources in order."""

    entries: Sequence[Entry]
    open: Sequence[tuple[str, Sequence[Open]]]
    right: Sequence[tuple[str, Sequence[str]]]
    sources: Sequence[str]

    @property
    def open_count(self) -> int:
        """How many verdicts are not known."""
        return sum(len(rows) for _, rows in self.open)


def annex(review: Review, shown: View) -> Annex:
    """Everything behind the headlines of a review."""
    sources = _Sources()
    # The same groups in the same order, so those that had no room among the headlines come last.
    numbers = chain((each.number for each in (*shown.dangers, *shown.faults)), repeat(0))
    entries = [
        Entry(
            number,
            group[0].title,
            group[0].rule.name,
            group[0].rule.says,
            group[0].text.wrong_when,
            [sources.number(each) for each in (*group[0].rule.sources, RISK)],
            [_detail(review, each, sources) for top in group for each in (top, *consequences(top))],
        )
        for number, group in zip(numbers, grouped(review.found), strict=False)
    ]
    return Annex(entries, _open(review), _right(review), list(sources.numbers))


@dataclass(slots=True)
class _Sources:
    """The list of sources, each numbered where it is first named."""

    numbers: dict[str, int] = field(default_factory=dict)

    def number(self, source: str) -> int:
        return self.numbers.setdefault(source, len(self.numbers) + 1) if source else 0


def _detail(review: Review, finding: Finding, sources: _Sources) -> Detail:
    made = proof(finding.said, review.case)
    assert made is not None
    grade = finding.grade
    risk = f"{finding.level}: {SEVERITIES[grade.severity]} harm, {PROBABILITIES[grade.probability]}"
    figures: dict[str, list[Figure]] = {}
    for step in _steps(made):
        for line in step.lines:
            for number in line.numbers:
                if number.name not in figures:
                    figures[number.name] = list(_figures(number, sources))
    return Detail(
        finding.title,
        where(review.case, finding),
        finding.seen,
        risk,
        "; ".join(moving(review.case, finding.said)),
        [Because(x.rule, x.verdict, [(line.truth, line.says) for line in x.lines]) for x in _steps(made)],
        [figure for each in figures.values() for figure in each],
    )


def _steps(made: Proof) -> Iterator[Proof]:
    yield made
    for each in made.beneath:
        yield from _steps(each)


def _figures(number: Number, sources: _Sources) -> Iterator[Figure]:
    if not number.formula:
        yield from (_input(each, sources, beneath=False) for each in number.inputs)
        return
    yield Figure(number.name, number.value, number.formula, "", sources.number(number.source))
    for each in number.inputs:
        yield _input(each, sources, beneath=True)
    if number.more:
        yield Figure(f"and {counted(number.more, 'input')} of less weight", "", "", "", 0, beneath=True)


def _input(each: Input, sources: _Sources, beneath: bool) -> Figure:
    return Figure(each.path, each.value, each.origin, line(each.spot), sources.number(each.source), beneath)


def line(spot: str) -> str:
    """A place in a file for a reader of paper: "heron.yaml line 82", without folders of the machine."""
    if not spot:
        return ""
    file, row, _ = spot.rsplit(":", 2)
    name = file if file.startswith("rules/") else file.replace("\\", "/").rsplit("/", 1)[-1]
    return f"{name} line {row}"


def _open(review: Review) -> list[tuple[str, list[Open]]]:
    by_class: dict[int, list[Open]] = {}
    for top in review.open:
        for finding in (top, *consequences(top)):
            by_class.setdefault(finding.grade.cls, []).append(_unsettled(review, finding))
    return [(wording().classes[str(cls)], by_class[cls]) for cls in sorted(by_class)]


def _unsettled(review: Review, finding: Finding) -> Open:
    step = finding.said.step
    assert step is not None
    leaves = sorted(step.needs, key=lambda leaf: (-influence(step, leaf), leaf.path))
    needs = [need_of(review.case, leaf) for leaf in leaves]
    asks = list(dict.fromkeys(need.ask for need in needs if need is not None))
    return Open(
        finding.title,
        finding.rule.name,
        where(review.case, finding),
        asks[:NEEDS],
        len(asks[NEEDS:]),
        finding.confirm,
    )


def _right(review: Review) -> list[tuple[str, list[str]]]:
    titles = {said.rule.name: said.rule.title for said in review.chained.said}
    return [(wording().areas[area], [titles[name] for name in names]) for area, names in review.right.items()]
