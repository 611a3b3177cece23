"""How grave one step of a rule is, and by how much it lies beyond its limits: of several steps the worst speaks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringout.inference.judge import Truth, judge, value_of
from ringout.quantity.span import Domain, Span
from ringout.quantity.telling import said_of
from ringout.quantity.traced import beneath, domain_of
from ringout.rulebase.condition import attributes
from ringout.rulebase.rule import FindingText, Grade

if TYPE_CHECKING:
    from ringout.inference.chain import Step


def grade_of(text: FindingText, step: Step) -> Grade:
    """The grade of a finding from one step: the rule's own, or the gravest of those that surely take over.

    While a verdict is open (it has needs), what a reading in doubt would make of it counts: the danger keeps its class.
    """
    if not text.graver:
        return text.grade
    facts = {alias: known.fact for alias, known in step.binding.items()}
    words: dict[str, Domain] = {}
    read: dict[str, Domain] = {}
    asked = [value_of(attr, facts) for condition, _ in text.graver for attr in attributes(condition)]
    for value in dict.fromkeys(asked):
        words |= said_of(value)
        read |= {path: leaf.doubt.domain for path, leaf in beneath(value).items() if leaf.doubt is not None}
    views = [words, {**words, **read}] if read and step.needs else [words]
    grades = [
        grade
        for condition, grade in text.graver
        if any(judge(condition, facts, view).truth is Truth.YES for view in views)
    ]
    return min([text.grade, *grades], key=_gravest)


def _gravest(grade: Grade) -> tuple[int, int, str]:
    return grade.cls, grade.severity, grade.probability


def margin(step: Step) -> float:
    """How far the closest comparison lies beyond its limit, as a part of the limit; nought for words."""
    margins = []
    for test in step.when.tests:
        if test.right is None or test.truth is not Truth.YES:
            continue
        left, right = (domain_of(side, said_of(side)) for side in (test.left, test.right))
        if isinstance(left, Span) and isinstance(right, Span) and right.hi:
            margins.append(abs((left.lo + left.hi) / 2 - (right.lo + right.hi) / 2) / abs(right.hi))
    return min(margins, default=0.0)


def weight(step: Step) -> tuple[object, ...]:
    """The place of a step among others of one verdict, the gravest first; names of parts have no say in it."""
    text = step.rule.finding
    return (*(_gravest(grade_of(text, step)) if text is not None else ()), -margin(step))
