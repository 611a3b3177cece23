"""The review of a case as a whole."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from ringout.case.case import Case
from ringout.facts.catalogue import catalogue
from ringout.facts.gather import gather
from ringout.facts.unused import unused
from ringout.inference.chain import Chained, Verdict, chain
from ringout.review.complaints import Explained, explained
from ringout.review.engines import matcher
from ringout.review.finding import Finding, findings
from ringout.review.needs import Need, next_needs
from ringout.rulebase.load import rulebase
from ringout.rulebase.rule import Rule
from ringout.waste import unsearched

LEAST = 5
"""The class of what only costs: waste, order, papers."""


@dataclass(frozen=True)
class Review:
    """All that is said of a case. `found` and `open` stand in order of danger; `counts` adds up."""

    case: Case
    chained: Chained
    found: tuple[Finding, ...]
    open: tuple[Finding, ...]
    complaints: tuple[Explained, ...]
    right: Mapping[str, tuple[str, ...]]
    not_inspected: tuple[str, ...]
    counts: Mapping[str, int]
    unused: Mapping[str, str]
    """Readings that nothing was made of, and why."""

    @cached_property
    def needs(self) -> tuple[Need, ...]:
        """What to find out next, worked out for who asks: a plan reviews again and again, and never does."""
        with unsearched():
            return tuple(next_needs(self.case, self.open))


def review(case: Case, engine: str = "", rules: tuple[Rule, ...] | None = None) -> Review:
    """Judge a case. `engine` is `durable`, `plain` or empty for the best to be had. Raises NoSuchEngine."""
    with unsearched():
        return _reviewed(case, engine, rulebase() if rules is None else rules)


def _reviewed(case: Case, engine: str, used: tuple[Rule, ...]) -> Review:
    facts = gather(case)
    chained = chain(used, facts, matcher(engine))
    made = findings(case, chained)
    counts = Counter(said.verdict.value for said in chained.said)
    return Review(
        case,
        chained,
        tuple(each for each in made if not each.open),
        tuple(each for each in made if each.open),
        tuple(explained(case, chained)),
        _right(chained),
        _not_inspected(case, used),
        {verdict.value: counts[verdict.value] for verdict in Verdict},
        unused(case, facts),
    )


def _right(chained: Chained) -> dict[str, tuple[str, ...]]:
    """By area, the rules that came out right wherever they applied."""
    verdicts: dict[tuple[str, str], set[Verdict]] = {}
    for said in chained.said:
        if said.rule.finding is not None:
            verdicts.setdefault((said.rule.area, said.rule.name), set()).add(said.verdict)
    found: dict[str, list[str]] = {}
    for (area, name), given in sorted(verdicts.items()):
        if Verdict.RIGHT in given and not given & {Verdict.WRONG, Verdict.NOT_KNOWN}:
            found.setdefault(area, []).append(name)
    return {area: tuple(names) for area, names in found.items()}


def _not_inspected(case: Case, rules: tuple[Rule, ...]) -> tuple[str, ...]:
    """Kinds of part that rules ask about, of which the case holds none and nobody said that there is none.

    Those whose faults are gravest come first.
    """
    wanted: dict[str, int] = {}
    for rule in rules:
        cls = rule.finding.grade.cls if rule.finding is not None else LEAST
        for term in rule.terms:
            if catalogue()[term.fact].noted:
                continue
            for kind in catalogue()[term.fact].part_kinds:
                wanted[kind] = min(cls, wanted.get(kind, LEAST))
    have = {part.kind for part in case.parts.values()}
    closed = {kind for kind, leaf in case.looked_for.items() if leaf.known and leaf.text in ("all", "none seen")}
    return tuple(sorted(wanted.keys() - have - closed, key=lambda kind: (wanted[kind], kind)))
