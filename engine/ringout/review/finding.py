"""Findings: a wrong verdict put into words, graded, with its consequences beneath it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from ringout.case.case import Case
from ringout.inference.chain import Chained, Said, Step, Verdict
from ringout.inference.grade import grade_of, margin
from ringout.inference.judge import Truth
from ringout.quantity.leaf import WEAK, Leaf
from ringout.quantity.traced import Value, leaves_of
from ringout.review.words import fill, part_name
from ringout.rulebase.rule import FindingText, Grade, Rule
from ringout.text.problem import Spot

LEVELS = {
    (1, "A"): "high", (1, "B"): "high", (1, "C"): "high", (1, "D"): "serious", (1, "E"): "medium",
    (2, "A"): "high", (2, "B"): "high", (2, "C"): "serious", (2, "D"): "medium", (2, "E"): "medium",
    (3, "A"): "serious", (3, "B"): "serious", (3, "C"): "medium", (3, "D"): "medium", (3, "E"): "medium",
    (4, "A"): "medium", (4, "B"): "medium", (4, "C"): "low", (4, "D"): "low", (4, "E"): "low",
}  # fmt: skip
"""MIL-STD-882E (standard practice, 2012), table III: severity and probability to a level of risk."""
RANK = ("high", "serious", "medium", "low")
ALIKE = 9
"""Digits after the point to which margins and weights are told apart: what differs by rounding alone goes by name."""
DANGER = 2
"""From this class up a fault can hurt someone, and an open question is a thing not shown to be safe."""


@dataclass(eq=False)
class Finding:
    """One thing wrong (or, with `open` true, one that would be wrong if the open answer is the bad one).

    Of thousands made a reader meets a dozen: the words and lists are put together when they are asked for.
    """

    case: Case
    rule: Rule
    said: Said
    step: Step
    """The deciding step."""
    grade: Grade
    open: bool
    margin: float
    beneath: list[Finding] = field(default_factory=list)

    @property
    def text(self) -> FindingText:
        """The rule's own words."""
        assert self.rule.finding is not None
        return self.rule.finding

    @property
    def explains(self) -> tuple[str, ...]:
        """The symptoms that it could make."""
        return self.text.explains

    @cached_property
    def about(self) -> str:
        """The first of the parts and runs it is about."""
        return part_name(self.case, next(iter(self.said.anchor.keys.values())))

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The parts and runs it is about."""
        return tuple(part_name(self.case, key) for key in self.said.anchor.keys.values())

    @cached_property
    def title(self) -> str:
        """What is wrong, or what is not known."""
        return self._filled(self.text.open_title) if self.open and self.text.open_title else self.rule.title

    @cached_property
    def seen(self) -> str:
        """What was seen or worked out, with its numbers."""
        return self._filled(self.text.seen)

    @cached_property
    def means(self) -> str:
        """What it leads to."""
        return self._filled(self.text.means)

    @cached_property
    def do(self) -> str:
        """The remedy in words."""
        return self._filled(self.text.do)

    @cached_property
    def confirm(self) -> str:
        """The look or reading that makes sure of it."""
        return self._filled(self.text.confirm)

    @cached_property
    def prove(self) -> str:
        """How the remedy shows itself."""
        return self._filled(self.text.prove)

    @cached_property
    def settle(self) -> str:
        """What to find out while it is open."""
        return self._filled(self.text.settle)

    def _filled(self, template: str) -> str:
        return fill(template, {alias: known.fact for alias, known in self.step.binding.items()}, self.case)

    @cached_property
    def leaves(self) -> tuple[Leaf, ...]:
        """Every leaf that it rests on."""
        return tuple(leaves_beneath(self.step))

    @cached_property
    def numbers(self) -> tuple[tuple[str, Value], ...]:
        """The values that the tests of the rule compared, each once."""
        return tuple(_numbers(self.step))

    @cached_property
    def evidence(self) -> tuple[Spot, ...]:
        """The lines of the case that it rests on."""
        return _evidence(self.case, self.said, self.leaves)

    @cached_property
    def assumed(self) -> tuple[Leaf, ...]:
        """What it rests on that was only assumed or supposed."""
        return tuple(leaf for leaf in self.leaves if leaf.origin in WEAK)

    @cached_property
    def only_said(self) -> tuple[Leaf, ...]:
        """What it rests on, or waits for, that was only said by somebody who cannot know it."""
        return tuple(leaf for leaf in self.leaves if leaf.word is not None and leaf.doubt is None)

    @cached_property
    def doubted(self) -> tuple[Leaf, ...]:
        """What it rests on, or waits for, of which a reading in doubt speaks."""
        return tuple(leaf for leaf in self.leaves if leaf.doubt is not None)

    @property
    def half_known(self) -> bool:
        """Whether all that is asked in words is known and only a number is open: advice would ask too much."""
        tests = self.step.when.tests
        words = {test.truth for test in tests if test.right is None}
        return self.open and words == {Truth.YES}

    @property
    def level(self) -> str:
        """Level of risk in words."""
        return LEVELS[self.grade.severity, self.grade.probability]

    @property
    def risk(self) -> int:
        """Place of the level of risk, 0 the highest."""
        return RANK.index(self.level)

    @property
    def cls(self) -> int:
        """Its class, or the worst beneath it: a cause is as grave as what it leads to."""
        return min([self.grade.cls, *[each.cls for each in self.beneath]]) if self.beneath else self.grade.cls

    def order(self, complaints: frozenset[str]) -> tuple[object, ...]:
        """The place in the list: class, found before open, risk, explains a complaint, margin, name."""
        silent = not complaints or all(complaints.isdisjoint(each.explains) for each in (self, *self.beneath))
        margin = round(self.margin, ALIKE)
        return (self.cls, self.open, self.risk, silent, -margin, self.rule.name, self.about)


def findings(case: Case, chained: Chained) -> list[Finding]:
    """All wrong and open verdicts that have words, consequences under their causes, in order."""
    made: dict[tuple[str, str], Finding] = {}
    for said in chained.said:
        if said.rule.finding is not None and said.verdict in (Verdict.WRONG, Verdict.NOT_KNOWN):
            made[said.rule.name, said.anchor.id] = _finding(case, said)
    complaints = frozenset(complaint.symptom for complaint in case.complaints.values())
    top = []
    for finding in made.values():
        causes = [*_confirmed(finding, made), *(made[key] for key in _causes(finding.said) if key in made)]
        # A found fault is never folded under an open question, nor a danger under a harmless cause.
        danger = finding.grade.cls <= DANGER
        fitting = [
            each
            for each in causes
            if each.open == finding.open and (each.grade.cls <= finding.grade.cls or not danger)
        ]
        if fitting:
            # Of several causes as near, the one that a reader meets first.
            near = [each for each in fitting if each.rule.level == fitting[0].rule.level]
            min(near, key=lambda each: each.order(complaints)).beneath.append(finding)
        else:
            top.append(finding)
    for finding in made.values():
        if finding.beneath:
            finding.beneath.sort(key=lambda each: each.order(complaints))
    return sorted(top, key=lambda each: each.order(complaints))


def _confirmed(finding: Finding, made: Mapping[tuple[str, str], Finding]) -> Iterator[Finding]:
    """The findings about the same part that work out what this one found by a reading."""
    if not finding.text.confirms:
        return
    about = next(iter(finding.said.anchor.keys.values()))
    for (rule, _), each in made.items():
        if rule in finding.text.confirms and next(iter(each.said.anchor.keys.values())) == about:
            yield each


def _causes(said: Said) -> Iterator[tuple[str, str]]:
    """The findings (rule, anchor) from whose conclusions this one follows, nearest first."""
    for step in said.steps[:1]:
        for known in step.binding.values():
            for earlier in known.steps:
                anchor = next(iter(earlier.binding.values()))
                yield earlier.rule.name, anchor.fact.id
                yield from _earlier(earlier)


def _earlier(step: Step) -> Iterator[tuple[str, str]]:
    for known in step.binding.values():
        for earlier in known.steps:
            yield earlier.rule.name, next(iter(earlier.binding.values())).fact.id
            yield from _earlier(earlier)


def _finding(case: Case, said: Said) -> Finding:
    step, text = said.step, said.rule.finding
    assert step is not None and text is not None
    is_open = said.verdict is Verdict.NOT_KNOWN
    return Finding(case, said.rule, said, step, grade_of(text, step), is_open, margin(step))


def _numbers(step: Step) -> Iterator[tuple[str, Value]]:
    """The values that the tests of the rule compared, each once."""
    seen = set()
    for test in (*step.given.tests, *step.when.tests, *step.unless.tests):
        for value in (test.left, test.right):
            name = getattr(value, "name", "") or getattr(value, "path", "")
            if value is not None and name not in seen:
                seen.add(name)
                yield name, value


def leaves_beneath(step: Step) -> Iterator[Leaf]:
    """Every leaf that the verdict rests on, through the conclusions below."""
    seen: set[str] = set()
    for test in (*step.given.tests, *step.when.tests, *step.unless.tests):
        for value in (test.left, test.right):
            for leaf in leaves_of(value) if value is not None else ():
                if leaf.path not in seen:
                    seen.add(leaf.path)
                    yield leaf
    for known in step.binding.values():
        for earlier in known.steps[:1]:
            for leaf in leaves_beneath(earlier):
                if leaf.path not in seen:
                    seen.add(leaf.path)
                    yield leaf


def _evidence(case: Case, said: Said, leaves: tuple[Leaf, ...]) -> tuple[Spot, ...]:
    """The lines of the case that a verdict rests on; what tables and limits say is a source, not evidence.

    What is judged from the drawing alone names the lines of the parts it is about.
    """
    spots = {leaf.spot for leaf in leaves if leaf.told and leaf.spot is not None}
    stated = {spot for spot in spots if spot.file == case.document.file}
    written = [case.parts.get(name) or case.hops.get(name) for name in said.anchor.keys.values()]
    about = {each.spot for each in written if each is not None}
    return tuple(sorted(stated or about, key=lambda spot: (spot.file, spot.line, spot.column)))
