"""The chain: level by level, candidates from the engine, judgement by the host, conclusions as new facts.

Every rule gives every fact of its anchor exactly one verdict: wrong, right, not known, or does not apply.
The outcome does not depend on the order of facts, rules or candidates.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum
from functools import lru_cache

from ringout.facts.fact import Fact
from ringout.inference.grade import weight
from ringout.inference.judge import Judged, Truth, both, judge, together
from ringout.inference.pattern import Matcher, Pattern, Record, Term
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Domain
from ringout.quantity.traced import NO_VIEW, View
from ringout.record import record
from ringout.rulebase.rule import Rule

MakeMatcher = Callable[[Sequence[Sequence[Pattern]]], Matcher]


class Verdict(Enum):
    """What a rule says of one fact, worst first."""

    WRONG = "wrong"
    NOT_KNOWN = "not known"
    RIGHT = "right"
    DOES_NOT_APPLY = "does not apply"


ORDER = list(Verdict)


@record()
class Known:
    """A fact within the chain: given or concluded, how sure it is, and the steps that concluded it."""

    fact: Fact
    truth: Truth = Truth.YES
    needs: tuple[Leaf, ...] = ()
    steps: tuple[Step, ...] = ()


@record()
class Step:
    """One candidate judged: the facts bound, each part of the rule, the verdict, and what would settle it."""

    rule: Rule
    binding: Mapping[str, Known]
    given: Judged
    when: Judged
    unless: Judged
    verdict: Verdict
    needs: tuple[Leaf, ...] = ()
    suggested: bool = False
    """True where the verdict would be wrong if the values assumed, supposed or read in doubt were so."""


@record()
class Said:
    """The one verdict of a rule on a fact of its anchor, with the steps behind it, the deciding one first."""

    rule: Rule
    anchor: Fact
    verdict: Verdict
    steps: tuple[Step, ...] = ()
    missing: str = ""
    """For a rule that does not apply because no partner was there: the fact type that was missing."""

    @property
    def step(self) -> Step | None:
        """The deciding step, None where nothing stood together."""
        return self.steps[0] if self.steps else None


@dataclass(slots=True)
class Chained:
    """All that the chain gave: verdicts by rule and anchor, facts by id, candidates by level."""

    engine: str
    said: list[Said] = field(default_factory=list)
    facts: dict[str, Known] = field(default_factory=dict)
    agenda: list[tuple[str, tuple[str, ...]]] = field(default_factory=list)


def patterns(rules: Sequence[Rule]) -> list[list[Pattern]]:
    """What the engine is given: the joins and settled words of each rule, by level."""
    levels: list[list[Pattern]] = [[] for _ in range(max((rule.level for rule in rules), default=0))]
    for rule in rules:
        terms = tuple(
            Term(
                term.alias,
                term.fact,
                tuple(sorted(term.words.items())),
                tuple((key, alias, name) for key, (alias, name) in sorted(term.joins.items())),
            )
            for term in rule.terms
        )
        levels[rule.level - 1].append(Pattern(rule.name, terms))
    return levels


class _Same:
    """Rules that are the very same tuple. To compare them one by one would cost more than to compile them."""

    def __init__(self, rules: tuple[Rule, ...]) -> None:
        self.rules = rules

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.rules is other.rules

    def __hash__(self) -> int:
        return id(self.rules)


@lru_cache(maxsize=2)
def _matcher(same: _Same, make: MakeMatcher) -> Matcher:
    """The shipped rules are one tuple in every review of a process: an engine compiles them once."""
    return make(patterns(same.rules))


def chain(rules: Sequence[Rule], facts: Sequence[Fact], make: MakeMatcher) -> Chained:
    """Run all levels. `facts` are the given facts; equal ids must be equal facts."""
    matcher = _matcher(_Same(rules), make) if isinstance(rules, tuple) else make(patterns(rules))
    out = Chained(matcher.name)
    for fact in sorted(facts, key=lambda each: each.id):
        out.facts[fact.id] = Known(fact, Truth.OPEN if fact.standing else Truth.YES, fact.standing)
    by_name = {rule.name: rule for rule in rules}
    for level in range(max((rule.level for rule in rules), default=0)):
        here = {rule.name: rule for rule in rules if rule.level == level + 1}
        wanted = {term.fact for rule in here.values() for term in rule.terms}
        by_type: dict[str, list[Known]] = {type: [] for type in sorted(wanted)}
        for known in out.facts.values():
            if known.fact.type in by_type:
                by_type[known.fact.type].append(known)
        records = [_record(known.fact) for each in by_type.values() for known in each]
        steps: dict[tuple[str, str], list[Step]] = {}
        for name, ids in matcher.match(level, records):
            out.agenda.append((name, ids))
            rule = by_name[name]
            bound = {term.alias: out.facts[id] for term, id in zip(rule.terms, ids, strict=True)}
            steps.setdefault((name, ids[0]), []).append(judge_step(rule, bound))
        for name in sorted(here):
            _verdicts(here[name], out, steps, by_type)
        _conclude(out, steps)
    out.said.sort(key=lambda said: (said.rule.name, said.anchor.id))
    return out


def judge_step(rule: Rule, bound: Mapping[str, Known], view: View = NO_VIEW) -> Step:
    """One candidate: does it apply, does it hold, is there an exception; do supposed values suggest it.

    What only supposed parts or runs would clear is not known yet, however the condition comes out. The word of
    somebody who cannot know is heard only where it shows the fault: it makes wrong, never right.
    """
    found = _judged(rule, bound, view)
    if found.verdict is not Verdict.NOT_KNOWN:
        return found
    words = {leaf.path: leaf.word for leaf in found.needs if leaf.word is not None and leaf.path not in view}
    if not words:
        return found
    heard = _judged(rule, bound, {**view, **words})
    return heard if heard.verdict is Verdict.WRONG else found


def _judged(rule: Rule, bound: Mapping[str, Known], view: View) -> Step:
    facts = {alias: known.fact for alias, known in bound.items()}
    given = judge(rule.given, facts, view)
    when = judge(rule.when, facts, view)
    unless = judge(rule.unless, facts, view, without=False)
    if given.truth is Truth.NO:
        return Step(rule, bound, given, when, unless, Verdict.DOES_NOT_APPLY)
    holds = both([*[known.truth for known in bound.values()], when.truth, ~unless.truth])
    if holds is Truth.NO and not _supposed(bound):
        return Step(rule, bound, given, when, unless, Verdict.RIGHT)
    if holds is Truth.YES and given.truth is Truth.YES:
        return Step(rule, bound, given, when, unless, Verdict.WRONG)
    beneath = [{leaf.path: leaf for leaf in known.needs} for known in bound.values() if known.needs]
    needs = together([*beneath, *(each.needs for each in (given, when, unless) if each.truth is Truth.OPEN)])
    suggested = _suggested(rule, facts, needs)
    return Step(rule, bound, given, when, unless, Verdict.NOT_KNOWN, tuple(needs.values()), suggested)


def _supposed(bound: Mapping[str, Known]) -> bool:
    """Whether a fact stands on a part or run that is only supposed."""
    return any(leaf.origin is Origin.SUPPOSED for known in bound.values() for leaf in known.fact.standing)


def _suggested(rule: Rule, facts: Mapping[str, Fact], needs: Mapping[str, Leaf]) -> bool:
    hints: dict[str, Domain] = {path: leaf.suggests for path, leaf in needs.items() if leaf.suggests is not None}
    if not hints:
        return False
    when = judge(rule.when, facts, hints)
    return both([judge(rule.given, facts, hints).truth, when.truth]) is Truth.YES


def _record(fact: Fact) -> Record:
    return Record(fact.id, fact.type, {**fact.keys, **fact.known} if fact.known else fact.keys)


def _verdicts(
    rule: Rule,
    out: Chained,
    steps: Mapping[tuple[str, str], list[Step]],
    by_type: Mapping[str, Sequence[Known]],
) -> None:
    words = rule.anchor.words
    missing = _missing(rule, by_type)
    for known in by_type[rule.anchor.fact]:
        fact = known.fact
        if words and not words.items() <= {**fact.keys, **fact.known}.items():
            continue
        found = steps.get((rule.name, fact.id))
        if not found:
            out.said.append(Said(rule, fact, Verdict.DOES_NOT_APPLY, missing=missing))
            continue
        if len(found) > 1:
            found.sort(key=_binding_ids)
            found.sort(key=lambda step: (ORDER.index(step.verdict), not step.suggested, *_weight(step)))
        out.said.append(Said(rule, fact, found[0].verdict, tuple(found)))


def _weight(step: Step) -> tuple[object, ...]:
    """What orders steps of one verdict: of those that find something, or may, the gravest speaks first."""
    return weight(step) if step.verdict in (Verdict.WRONG, Verdict.NOT_KNOWN) else ()


def _binding_ids(step: Step) -> tuple[str, ...]:
    return tuple(known.fact.id for known in step.binding.values())


def _missing(rule: Rule, by_type: Mapping[str, Sequence[Known]]) -> str:
    """The first partner type of which there is no fact at all, else the last partner: nothing joined."""
    return next((term.fact for term in rule.terms[1:] if not by_type[term.fact]), rule.terms[-1].fact)


def _conclude(out: Chained, steps: Mapping[tuple[str, str], list[Step]]) -> None:
    """Turn wrong and not-known steps into facts; equal conclusions merge and keep all their derivations."""
    merged: dict[str, tuple[Fact, list[Step]]] = {}
    for found in steps.values():
        for step in found:
            conclusion = step.rule.conclusion
            if conclusion is None or step.verdict not in (Verdict.WRONG, Verdict.NOT_KNOWN):
                continue
            keys = {
                key: source if isinstance(source, str) else step.binding[source[0]].fact.keys[source[1]]
                for key, source in conclusion.keys.items()
            }
            fact = Fact(conclusion.fact, keys)
            merged.setdefault(fact.id, (fact, []))[1].append(step)
    for id in sorted(merged):
        fact, found = merged[id]
        found.sort(key=_binding_ids)
        if len(found) > 1:
            found.sort(key=lambda step: (ORDER.index(step.verdict), step.rule.name, *_weight(step)))
        sure = found[0].verdict is Verdict.WRONG
        have = out.facts.get(id)
        open_here = [leaf for step in found for leaf in step.needs]
        needs = {} if sure else {leaf.path: leaf for leaf in (*(have.needs if have else ()), *open_here)}
        if have is not None and have.truth is Truth.YES:
            out.facts[id] = Known(have.fact, Truth.YES, (), (*have.steps, *found))
        else:
            earlier = have.steps if have else ()
            truth = Truth.YES if sure else Truth.OPEN
            out.facts[id] = Known(fact, truth, tuple(needs.values()), (*earlier, *found))
