"""Two rules that always fire together say one thing twice, unless one follows from the other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import combinations

from ringout.inference.chain import Said, Verdict, chain
from ringout.inference.examples import BadExample, facts_of
from ringout.inference.plain import PlainMatcher
from ringout.lint.base import Base
from ringout.rulebase.rule import Rule
from ringout.text.problem import Problem

Firing = tuple[str, tuple[str, ...]]
"""Where a rule fired, and the keys of its subject."""


def together(base: Base) -> Iterator[Problem]:
    """Pairs with the same firings over all examples and cases, where neither merges with the other."""
    fired = _fired(base)
    alike: dict[frozenset[Firing], list[str]] = defaultdict(list)
    for name, firings in fired.items():
        alike[frozenset(firings)].append(name)
    for names in alike.values():
        for one, other in combinations(sorted(names), 2):
            first, second = base.rules[one], base.rules[other]
            if not _merge(first.rule, second.rule):
                found = f"the same {len(fired[one])} firings as {other} over all examples and cases"
                expected = "a case of its own, or a conclusion that both share"
                yield first.wrong(("rule",), expected, found)


def _merge(one: Rule, other: Rule) -> bool:
    """Whether both conclude one fact, or one reads what the other concludes: then they stand as one finding."""
    made = {rule.name: rule.conclusion.fact if rule.conclusion else "" for rule in (one, other)}
    if made[one.name] and made[one.name] == made[other.name]:
        return True
    reads = {rule.name: {term.fact for term in rule.terms} for rule in (one, other)}
    return made[one.name] in reads[other.name] or made[other.name] in reads[one.name]


def _fired(base: Base) -> dict[str, set[Firing]]:
    found: dict[str, set[Firing]] = defaultdict(set)
    rules = [written.rule for written in base.rules.values()]
    for review in base.reviews:
        _add(found, review.case.document.file, review.chained.said)
    for written in base.rules.values():
        for example in written.rule.examples:
            have = {fact for fact, _ in example.facts}
            fitting = [rule for rule in rules if {term.fact for term in rule.terms} <= have]
            try:
                said = chain(fitting, facts_of(example), PlainMatcher).said
            except BadExample:
                continue  # said already, among the names
            _add(found, str(example.spot), said)
    return found


def _add(found: dict[str, set[Firing]], where: str, said: list[Said]) -> None:
    for each in said:
        if each.verdict is Verdict.WRONG:
            found[each.rule.name].add((where, tuple(each.anchor.keys.values())))
