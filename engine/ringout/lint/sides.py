"""Whether the examples of a rule stand on both sides of each of its limits, close to it, and tell something.

Close is within 5 % of the limit: that is the step in which the printed values of this trade come (a 30 mA trip
current, 0.6 V of drop, a tenth of a rating), so that a wrong figure cannot pass between the two examples.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ringout.inference.chain import Said, Step, Verdict
from ringout.inference.judge import Test, Truth, both, judge, value_of
from ringout.lint.base import Base, Written, compares
from ringout.lint.possible import Solver
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import domain_of
from ringout.rulebase.condition import AllOf, Amount, AnyOf, Attr, Compare, Condition, LimitRef, Not
from ringout.rulebase.limits import limits
from ringout.rulebase.rule import Grade, Rule
from ringout.text.problem import Problem

CLOSE = 0.05
"""Farthest from the limit, as a share of it."""
SIDES = {True: "fulfils", False: "misses"}

Truths = Mapping[Compare, Truth]
"""How each comparison came out; one that is written twice comes out alike."""


def sides(base: Base) -> Iterator[Problem]:
    """Limits without an example just on one side."""
    for written in base.rules.values():
        shown = [each for each in _shown(written)]
        for loc, condition in written.conditions():
            for at, compare in compares(loc, condition):
                if compare.right is not None:
                    yield from _missing(written, at, compare, shown)


@dataclass(frozen=True)
class Shown:
    """One example as judged: how each comparison came out, and what follows if one had come out otherwise."""

    rule: Rule
    step: Step
    tests: Mapping[Compare, Test]
    stated: bool
    """Whether the example says its class or risk."""

    def near(self, compare: Compare, side: bool) -> bool:
        """Whether its value lies just on that side of the limit."""
        test = self.tests[compare]
        if test.truth is not (Truth.YES if side else Truth.NO):
            return False
        assert test.right is not None
        left, right = domain_of(test.left), domain_of(test.right)
        assert isinstance(left, Span) and isinstance(right, Span)
        # The nearest ends of the two ranges; of a nought nothing is near, so that any value will do.
        gap = max(left.lo - right.hi, right.lo - left.hi, 0.0)
        if test.left.dimension == "count":
            return gap <= 1
        size = max(abs(right.lo), abs(right.hi))
        return not size or gap <= CLOSE * size * (1 + 1e-9)

    def tells(self, compare: Compare) -> bool:
        """Whether the outcome would be another one had this comparison come out otherwise."""
        truths = {key: test.truth for key, test in self.tests.items()}
        other = {**truths, compare: ~truths[compare]}
        verdict, grade = self._outcome(truths)
        verdict2, grade2 = self._outcome(other)
        return verdict is not verdict2 or (self.stated and grade != grade2)

    def _outcome(self, truths: Truths) -> tuple[Verdict, Grade | None]:
        rule = self.rule
        given = _truth(rule.given, truths, Truth.YES)
        when = _truth(rule.when, truths, Truth.YES)
        unless = _truth(rule.unless, truths, Truth.NO)
        holds = both([*(known.truth for known in self.step.binding.values()), when, ~unless])
        if given is Truth.NO:
            return Verdict.DOES_NOT_APPLY, None
        if holds is Truth.NO:
            return Verdict.RIGHT, None
        wrong = holds is Truth.YES and given is Truth.YES
        text = rule.finding
        grade = None
        if text is not None:
            takes = [grade for cond, grade in text.graver if _truth(cond, truths, Truth.NO) is Truth.YES]
            grade = min([text.grade, *takes], key=lambda each: (each.cls, each.risk))
        return Verdict.WRONG if wrong else Verdict.NOT_KNOWN, grade

    def word(self, by: Attr) -> str:
        """The word that a limit goes by in this example, "" where it is one of several."""
        facts = {alias: known.fact for alias, known in self.step.binding.items()}
        domain = domain_of(value_of(by, facts))
        assert isinstance(domain, Choice)
        return next(iter(domain.options)) if len(domain.options) == 1 else ""


def _truth(condition: Condition | None, truths: Truths, default: Truth) -> Truth:
    if condition is None:
        return default
    if isinstance(condition, Not):
        return ~_truth(condition.of, truths, default)
    if isinstance(condition, AllOf):
        return both([_truth(each, truths, default) for each in condition.of])
    if isinstance(condition, AnyOf):
        return ~both([~_truth(each, truths, default) for each in condition.of])
    return truths[condition]


def _shown(written: Written) -> Iterator[Shown]:
    for example, said in zip(written.rule.examples, written.shown, strict=True):
        if not isinstance(said, Said) or said.step is None:
            continue
        facts = {alias: known.fact for alias, known in said.step.binding.items()}
        judged = [judge(condition, facts) for _, condition in written.conditions()]
        tests = {test.condition: test for each in judged for test in each.tests}
        yield Shown(written.rule, said.step, tests, example.cls is not None or bool(example.risk))


def _missing(written: Written, at: tuple[str | int, ...], compare: Compare, shown: list[Shown]) -> Iterator[Problem]:
    right = compare.right
    by = right.by if isinstance(right, LimitRef) else None
    for word in _words(written, compare):
        fitting = [each for each in shown if by is None or each.word(by) == word]
        for side in (True, False):
            if not any(each.near(compare, side) and each.tells(compare) for each in fitting):
                what = _limit(compare, word)
                expected = f"an example that just {SIDES[side]} it ({what}, within 5 %) and turns on it"
                yield written.wrong(at, expected, "none")


def _words(written: Written, compare: Compare) -> tuple[str, ...]:
    """The words of a table of limits that the rule can meet there."""
    right = compare.right
    if not isinstance(right, LimitRef) or right.by is None:
        return ("",)
    rule, solver = written.rule, Solver(written)
    asked = [(each, True) for each in (rule.given,) if each is not None]
    return tuple(
        word
        for word in limits()[right.name].leaves
        if solver.possible([*asked, (Compare("eq", right.by, words=frozenset({word})), True)])
    )


def _limit(compare: Compare, word: str) -> str:
    left, right = f"{compare.left.alias}.{compare.left.name}", compare.right
    if isinstance(right, LimitRef):
        leaf = limits()[right.name].leaves[word]
        return f"{left} at {leaf.text}" + (f" for {word}" if word else "")
    if isinstance(right, Amount):
        return f"{left} at {right.leaf.text}"
    assert isinstance(right, Attr)
    return f"{left} at {right.alias}.{right.name}"
