"""An evaluator made to be seen right, not to be fast: it tries every row of facts and every corner of the leaves.

It shares no code with `ringout.inference`; what it takes from the project is data (rules, facts, leaves, the
functions of computed values, limits). It knows no levels: a rule that reads a conclusion asks for all facts of
that type, and so for the rules that conclude it.

Three values are True, False and None for not known. A comparison is tried at every corner of its leaves, an
open end at `FAR`. A condition is Kleene's, then tried in each world of its open words, if they are few. Where a
value rests on more leaves than the project says it tries corners of, its own range is taken for it.
"""

from __future__ import annotations

import itertools
import math
import operator
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from ringout.facts.fact import Fact
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import Point, Value
from ringout.rulebase.condition import Amount, AnyOf, Attr, Compare, Condition, Not
from ringout.rulebase.limits import Limit
from ringout.rulebase.rule import Rule, Term

FAR = 1e9
"""Where an open end of a range is tried."""
FEW_WORLDS, MOST_WORLDS, MOST_SPANS = 16, 64, 6
"""Open words over which a condition is split; words and ranges of which every corner is tried (the project's)."""

Truth = bool | None
Row = Mapping[str, Fact]
World = Mapping[str, Point]
OPS: dict[str, Callable[[float, float], bool]] = {
    "gt": operator.gt, "ge": operator.ge, "lt": operator.lt, "le": operator.le,
}  # fmt: skip


@dataclass(slots=True)
class Answer:
    """What a voice says: each candidate with its verdict and the truth of its three parts, each fact and
    whether it is sure, the verdict of each rule on each anchor and the type of the partner that is missing."""

    steps: dict[tuple[str, tuple[str, ...]], tuple[str, Truth, Truth, Truth]] = field(default_factory=dict)
    sure: dict[str, bool] = field(default_factory=dict)
    said: dict[tuple[str, str], tuple[str, str]] = field(default_factory=dict)


# -- values and conditions -----------------------------------------------------------------------------------


def at(value: Value, world: World, seen: dict[int, Point] | None = None) -> Point:
    """The value where every leaf has a point."""
    if isinstance(value, Leaf):
        return world[value.path]
    seen = {} if seen is None else seen
    if id(value) not in seen:
        seen[id(value)] = value.fn(*[at(each, world, seen) for each in value.inputs])
    return seen[id(value)]


def leaves(*values: Value) -> dict[str, Leaf]:
    """The leaves beneath some values, by path."""
    return {leaf.path: leaf for each in values for leaf in ([each] if isinstance(each, Leaf) else each.leaves)}


def ends(domain: Domain) -> list[Point]:
    if isinstance(domain, Choice):
        return sorted(domain.options)
    return sorted({max(domain.lo, -FAR), min(domain.hi, FAR)})


def corners(found: Mapping[str, Leaf], world: World) -> list[dict[str, Point]] | None:
    """Every combination of ends of the leaves that `world` does not settle; None where they are too many."""
    points = {path: [world[path]] if path in world else ends(leaf.domain) for path, leaf in found.items()}
    worded = [len(points[path]) for path, leaf in found.items() if isinstance(leaf.domain, Choice)]
    ranged = [path for path, leaf in found.items() if isinstance(leaf.domain, Span) and len(points[path]) > 1]
    if math.prod(worded) > MOST_WORLDS or len(ranged) > MOST_SPANS:
        return None
    return [dict(zip(points, chosen, strict=True)) for chosen in itertools.product(*points.values())]


def span(value: Value, world: World) -> list[Point]:
    """All that a value comes to at the corners of its leaves."""
    tried = corners(leaves(value), world)
    if tried is not None:
        return list({at(value, each) for each in tried})
    assert not isinstance(value, Leaf)
    view = {path: Choice(frozenset({str(word)})) for path, word in world.items()}
    return ends(value.domain(view))


def sides(test: Compare, row: Row, limits: Mapping[str, Limit]) -> tuple[Value, Value | None]:
    def value(attr: Attr) -> Value:
        return row[attr.alias].values[attr.name]

    right = test.right
    if right is None:
        return value(test.left), None
    if isinstance(right, Attr):
        return value(test.left), value(right)
    if isinstance(right, Amount):
        return value(test.left), right.leaf
    return value(test.left), limits[right.name].value(value(right.by) if right.by else None)


def holds(test: Compare, left: Point, right: Point | None) -> bool:
    """A comparison of two points."""
    if right is None:
        return (left in test.words) != (test.op == "ne")
    return OPS[test.op](float(left), float(right))


def compared(test: Compare, row: Row, limits: Mapping[str, Limit], world: World) -> Truth:
    """A comparison at every corner: of both sides together where they share a leaf and no end is open.

    Two sides that run on together without end would have to be known there, not at a point far off.
    """
    left, right = sides(test, row, limits)
    if right is None:
        found = {holds(test, point, None) for point in span(left, world)}
    else:
        together = None
        if leaves(left).keys() & leaves(right).keys():
            closed = all(-FAR < float(each) < FAR for side in (left, right) for each in span(side, world))
            together = corners(leaves(left, right), world) if closed else None
        if together is not None:
            found = {holds(test, at(left, each), at(right, each)) for each in together}
        else:
            found = {holds(test, a, b) for a in span(left, world) for b in span(right, world)}
    return found.pop() if len(found) == 1 else None


def kleene(condition: Condition, row: Row, limits: Mapping[str, Limit], world: World) -> Truth:
    """The condition as its comparisons make it."""
    if isinstance(condition, Compare):
        return compared(condition, row, limits, world)
    if isinstance(condition, Not):
        inner = kleene(condition.of, row, limits, world)
        return None if inner is None else not inner
    decisive = isinstance(condition, AnyOf)  # any: one yes decides; all: one no
    parts = [kleene(each, row, limits, world) for each in condition.of]
    return decisive if decisive in parts else None if None in parts else not decisive


def open_words(condition: Condition, row: Row, limits: Mapping[str, Limit]) -> dict[str, Leaf]:
    """The open words beneath whatever keeps the condition open, but for those of a table."""
    if kleene(condition, row, limits, {}) is not None:
        return {}
    if isinstance(condition, Compare):
        left, right = sides(condition, row, limits)
        return {
            path: leaf
            for path, leaf in leaves(*([left] if right is None else [left, right])).items()
            if isinstance(leaf.domain, Choice) and len(leaf.domain.options) > 1 and leaf.origin is not Origin.TABLE
        }
    parts = [condition.of] if isinstance(condition, Not) else condition.of
    return {path: leaf for each in parts for path, leaf in open_words(each, row, limits).items()}


def judged(condition: Condition | None, row: Row, limits: Mapping[str, Limit], default: bool = True) -> Truth:
    """The condition; left open by its comparisons, it is still settled where every world of its words agrees."""
    if condition is None:
        return default
    truth = kleene(condition, row, limits, {})
    if truth is not None:
        return truth
    options = {path: ends(leaf.domain) for path, leaf in open_words(condition, row, limits).items()}
    if math.prod(map(len, options.values())) > FEW_WORLDS:
        return None
    worlds = [dict(zip(options, chosen, strict=True)) for chosen in itertools.product(*options.values())]
    found = {kleene(condition, row, limits, world) for world in worlds}
    return found.pop() if len(found) == 1 else None


# -- rules ---------------------------------------------------------------------------------------------------


def fits(term: Term, fact: Fact, row: Row) -> bool:
    """Whether a fact may stand as this term: its type, its settled words, its joins to what stands already."""
    if fact.type != term.fact:
        return False
    its = {**fact.keys, **fact.known}
    for key, word in term.words.items():
        if key not in its or its[key] != word:
            return False
    for key, (alias, other) in term.joins.items():
        met = {**row[alias].keys, **row[alias].known}
        if key not in its or other not in met or its[key] != met[other]:
            return False
    return True


def rows(terms: Sequence[Term], facts: Sequence[Fact]) -> Iterator[dict[str, Fact]]:
    """Every row of facts in which each fits its term."""
    if not terms:
        yield {}
        return
    for row in rows(terms[:-1], facts):
        for fact in facts:
            if fits(terms[-1], fact, row):
                yield {**row, terms[-1].alias: fact}


def verdict(given: Truth, when: Truth, unless: Truth, sure: bool, supposed: bool) -> str:
    """What one row says of its rule."""
    if given is False:
        return "does not apply"
    if (when is False or unless is True) and not supposed:
        return "right"
    if given and when and unless is False and sure:
        return "wrong"
    return "not known"


class Brute:
    """All that follows from some rules and facts."""

    def __init__(self, rules: Sequence[Rule], facts: Sequence[Fact], limits: Mapping[str, Limit]) -> None:
        self.rules = rules
        self.given = facts
        self.limits = limits
        self.answer = Answer()
        self.rows: dict[tuple[str, tuple[str, ...]], Row] = {}
        self._facts: dict[str, list[Fact]] = {}
        for rule in rules:
            self.facts(rule.terms[0].fact)
            if rule.conclusion:
                self.facts(rule.conclusion.fact)
        for fact in facts:
            self.answer.sure.setdefault(fact.id, not fact.standing)
        for rule in rules:
            if rule.conclusion is None:
                self.conclude(rule)
        for rule in rules:
            self.say(rule)

    def facts(self, type: str) -> list[Fact]:
        """All facts of a type: those given, and those of every rule that concludes it, equal ones once."""
        if type not in self._facts:
            found = {fact.id: fact for fact in self.given if fact.type == type}
            for fact in found.values():
                self.answer.sure[fact.id] = not fact.standing
            for rule in self.rules:
                if rule.conclusion and rule.conclusion.fact == type:
                    for fact, sure in self.conclude(rule):
                        found.setdefault(fact.id, fact)
                        self.answer.sure[fact.id] = self.answer.sure.get(fact.id, False) or sure
            self._facts[type] = list(found.values())
        return self._facts[type]

    def conclude(self, rule: Rule) -> list[tuple[Fact, bool]]:
        """Judge every row of a rule: what it concludes, and whether that is sure."""
        made = []
        facts = [fact for type in {term.fact for term in rule.terms} for fact in self.facts(type)]
        for row in rows(rule.terms, facts):
            given, when = (judged(each, row, self.limits) for each in (rule.given, rule.when))
            unless = judged(rule.unless, row, self.limits, default=False)
            sure = all(self.answer.sure[fact.id] for fact in row.values())
            supposed = any(leaf.origin is Origin.SUPPOSED for fact in row.values() for leaf in fact.standing)
            found = verdict(given, when, unless, sure, supposed)
            place = rule.name, tuple(fact.id for fact in row.values())
            self.answer.steps[place] = found, given, when, unless
            self.rows[place] = row
            if rule.conclusion and found in ("wrong", "not known"):
                keys = {
                    key: source if isinstance(source, str) else row[source[0]].keys[source[1]]
                    for key, source in rule.conclusion.keys.items()
                }
                made.append((Fact(rule.conclusion.fact, keys), found == "wrong"))
        return made

    def say(self, rule: Rule) -> None:
        """The worst verdict of the rows of each anchor; with no row, the partner that is missing."""
        types = [term.fact for term in rule.terms]
        missing = [type for type in types[1:] if not self.facts(type)] or types[-1:]
        for anchor in self.facts(types[0]):
            here = {
                step[0] for (name, ids), step in self.answer.steps.items() if name == rule.name and ids[0] == anchor.id
            }
            worst = [each for each in ("wrong", "not known", "right", "does not apply") if each in here]
            said = (worst[0], "") if worst else ("does not apply", missing[0])
            self.answer.said[rule.name, anchor.id] = said
