"""The rules of a folder: `rules/<area>/*.yaml`, one rule a file, sorted into levels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from ringout.facts.catalogue import catalogue
from ringout.kept import Folded, kept
from ringout.rulebase.limits import limits
from ringout.rulebase.rule import Rule
from ringout.rulebase.rulefile import BRACES, read_rule
from ringout.rulebase.shape import AREAS
from ringout.shipped import rules_root
from ringout.text.document import Document, read
from ringout.text.problem import Problem, Unusable

__all__ = ["BRACES", "levelled", "load_rules", "read_rule", "read_rules", "rulebase"]


@kept
def rulebase() -> tuple[Rule, ...]:
    """All shipped rules, by level, then name. Raises Unusable with every problem of every file."""
    # Half of a rule file is its examples, which no review reads.
    return tuple(replace(rule, examples=Folded(tuple(rule.examples))) for rule in load_rules(rules_root()))


def load_rules(root: Path) -> tuple[Rule, ...]:
    """The rules under a folder of areas, with their levels. Raises Unusable."""
    return levelled([rule for rule, _ in read_rules(root)])


def read_rules(root: Path) -> list[tuple[Rule, Document]]:
    """The rules under a folder of areas, each with its file. Raises Unusable with every problem of every file."""
    catalogue(), limits()  # a fault of theirs is said once, and not again by every rule
    rules: list[tuple[Rule, Document]] = []
    problems: list[Problem] = []
    for area in AREAS:
        for path in sorted((root / area).glob("*.yaml")):
            try:
                document = read(path)
                rules.append((read_rule(document), document))
            except Unusable as fault:
                problems += fault.problems
    if problems:
        raise Unusable(problems)
    return rules


def levelled(rules: list[Rule]) -> tuple[Rule, ...]:
    """Rules with their levels: a rule stands above every rule whose conclusion it reads.

    Raises Unusable where two rules share a name or rules wait for each other in a circle.
    """
    seen: dict[str, Rule] = {}
    problems = []
    for rule in rules:
        if rule.name in seen:
            again = f"the name of {seen[rule.name].spot}"
            problems.append(Problem(rule.spot, rule.name, "a new name", again))
        seen[rule.name] = rule
    if problems:
        raise Unusable(problems)
    makers: dict[str, set[str]] = {}
    for rule in rules:
        if rule.conclusion:
            makers.setdefault(rule.conclusion.fact, set()).add(rule.name)
    level: dict[str, int] = {}
    while len(level) < len(rules):
        waiting = {
            name: fact
            for name, rule in seen.items()
            if name not in level
            for fact in _awaited(rule, makers, level)
        }
        ready = [name for name in seen if name not in level and name not in waiting]
        if not ready:
            expected = "conclusions that do not wait for each other"
            raise Unusable(
                Problem(seen[name].spot, name, expected, f"a wait for '{fact}'")
                for name, fact in waiting.items()
            )
        for name in ready:
            below = [level[other] for term in seen[name].terms for other in makers.get(term.fact, ())]
            level[name] = 1 + max(below, default=0)
    found = [replace(rule, level=level[rule.name]) for rule in rules]
    return tuple(sorted(found, key=lambda rule: (rule.level, rule.name)))


def _awaited(rule: Rule, makers: Mapping[str, set[str]], level: Mapping[str, int]) -> list[str]:
    """The facts a rule reads of which some maker has no level yet."""
    return [term.fact for term in rule.terms if not makers.get(term.fact, set()) <= level.keys()]
