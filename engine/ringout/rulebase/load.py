"""The rules of a folder: `rules/<area>/*.yaml`, one rule a file, sorted into levels."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from functools import cache
from pathlib import Path

from ringout.rulebase.rule import Rule
from ringout.rulebase.rulefile import AREAS, BRACES, read_rule
from ringout.shipped import rules_root
from ringout.text.document import read
from ringout.text.problem import Problem, Unusable

__all__ = ["BRACES", "digest", "levelled", "load_rules", "read_rule", "rulebase"]


@cache
def rulebase() -> tuple[Rule, ...]:
    """All shipped rules, by level, then name. Raises Unusable with every problem of every file."""
    return load_rules(rules_root())


@cache
def digest() -> str:
    """Twelve hexadecimal digits that change with any file of the knowledge."""
    found = hashlib.sha256()
    for path in sorted(rules_root().rglob("*.yaml")):
        found.update(path.relative_to(rules_root()).as_posix().encode())
        found.update(path.read_bytes())
    return found.hexdigest()[:12]


def load_rules(root: Path) -> tuple[Rule, ...]:
    """The rules under a folder of areas. Raises Unusable."""
    rules: list[Rule] = []
    problems: list[Problem] = []
    for area in AREAS:
        for path in sorted((root / area).glob("*.yaml")):
            try:
                rules.append(read_rule(read(path)))
            except Unusable as fault:
                problems += fault.problems
    if problems:
        raise Unusable(problems)
    return levelled(rules)


def levelled(rules: list[Rule]) -> tuple[Rule, ...]:
    """Rules with their levels: a rule stands above every rule whose conclusion it reads.

    Raises Unusable where two rules share a name or rules wait for each other in a circle.
    """
    problems = []
    seen: dict[str, Rule] = {}
    for rule in rules:
        if rule.name in seen:
            problems.append(Problem(rule.spot, rule.name, "a new name", f"the name of {seen[rule.name].spot}"))
        seen[rule.name] = rule
    if problems:
        raise Unusable(problems)
    makers: dict[str, list[str]] = {}
    for rule in rules:
        if rule.conclusion:
            makers.setdefault(rule.conclusion.fact, []).append(rule.name)
    below = {rule.name: {m for t in rule.terms for m in makers.get(t.fact, ())} for rule in rules}
    level: dict[str, int] = {}
    while len(level) < len(rules):
        ready = [name for name in below if name not in level and below[name] <= level.keys()]
        if not ready:
            stuck = [rule for rule in rules if rule.name not in level]
            raise Unusable([Problem(r.spot, r.name, "no circle of conclusions", "one") for r in stuck])
        for name in ready:
            level[name] = 1 + max((level[other] for other in below[name]), default=0)
    return tuple(sorted((replace(rule, level=level[rule.name]) for rule in rules), key=lambda r: (r.level, r.name)))
