"""A rule base as it is looked over: each rule beside its file, its examples judged, the cases reviewed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from ringout.case.load import load
from ringout.inference.chain import Said
from ringout.inference.examples import BadExample, run
from ringout.inference.plain import PlainMatcher
from ringout.review.review import Review, review
from ringout.rulebase.condition import AllOf, AnyOf, Compare, Condition, Not
from ringout.rulebase.load import levelled, read_rules
from ringout.rulebase.rule import Rule
from ringout.shipped import rules_root
from ringout.text.document import Document
from ringout.text.problem import Loc, Problem

PARTS = ("given", "when", "unless")
"""The conditions of a rule."""


@dataclass(frozen=True)
class Written:
    """One rule, and the file that it was read from."""

    rule: Rule
    document: Document

    def wrong(self, loc: Loc, expected: str, found: str) -> Problem:
        """A complaint about a place of the file; `found` reads on from that word."""
        return Problem(self.document.spot(loc), self.rule.name, expected, found)

    def conditions(self) -> Iterator[tuple[Loc, Condition]]:
        """Every whole condition with its place: given, when, unless, and those of graver grades."""
        for part in PARTS:
            condition = getattr(self.rule, part)
            if condition is not None:
                yield (part,), condition
        yield from self.graver()

    def graver(self) -> Iterator[tuple[Loc, Condition]]:
        """When each graver grade takes over."""
        text = self.rule.finding
        for number, (condition, _) in enumerate(text.graver if text is not None else ()):
            yield ("finding", "graver", number, "when"), condition

    @cached_property
    def shown(self) -> tuple[Said | BadExample, ...]:
        """What the rule says of each of its examples, or what keeps it from saying anything."""
        return tuple(self._run(number) for number in range(len(self.rule.examples)))

    def _run(self, number: int) -> Said | BadExample:
        try:
            return run(self.rule, self.rule.examples[number], PlainMatcher)
        except BadExample as fault:
            return fault


@dataclass(frozen=True)
class Base:
    """All rules by name, and the reviews of the cases they are tried on."""

    rules: dict[str, Written]
    reviews: tuple[Review, ...]


def read_base(cases: Sequence[Path]) -> Base:
    """The rule base in force, tried on cases. Raises Unusable with every problem of every rule."""
    written = read_rules(rules_root())
    rules = levelled([rule for rule, _ in written])
    documents = {rule.name: document for rule, document in written}
    by_name = {rule.name: Written(rule, documents[rule.name]) for rule in rules}
    return Base(by_name, tuple(review(load(path), "plain", rules) for path in cases))


def within(loc: Loc, condition: Condition) -> Iterator[tuple[Loc, Condition]]:
    """A condition and all that it is made of, each with its place in the file."""
    if isinstance(condition, AllOf | AnyOf):
        here = (*loc, "all" if isinstance(condition, AllOf) else "any")
        yield here, condition
        for number, each in enumerate(condition.of):
            yield from within((*here, number), each)
    elif isinstance(condition, Not):
        yield (*loc, "not"), condition
        yield from within((*loc, "not"), condition.of)
    else:
        yield (*loc, condition.op), condition


def compares(loc: Loc, condition: Condition) -> Iterator[tuple[Loc, Compare]]:
    """The comparisons of a condition, each with its place in the file."""
    for at, each in within(loc, condition):
        if isinstance(each, Compare):
            yield at, each
