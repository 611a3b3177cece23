"""Replays a review step by step and objects to whatever does not follow.

What it takes from the chain: the facts, the bindings, the truths, the verdicts and the values behind them. What it
finds out anew: rules, limits and levels (raw YAML), joins, ranges (own sampling), truths and verdicts (own logic).
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import kleene
import numbers_again as numbers
from knowledge import Raw, facts, levels, rules
from sources import Sources
from worked_out import PREFIX, WorkedOut

TRUTH = {"yes": kleene.YES, "not known": kleene.OPEN, "no": kleene.NO}
Objection = tuple[str, str]
"""The kind of step that is objected to, and what is wrong with it."""


def words(fact: Any) -> dict[str, str]:
    """The settled words of a fact."""
    return {**fact.keys, **fact.known}


def joined(rule: Raw, by_type: dict[str, list[Any]], anchor: Any) -> Iterator[tuple[Any, ...]]:
    """Every way in which facts fill the terms of a rule, tried row by row."""

    def fits(where: dict[str, str], fact: Any, bound: dict[str, Any]) -> bool:
        own = words(fact)
        for key, text in where.items():
            alias, dot, name = text.partition(".")
            wanted = words(bound[alias]).get(name) if dot else text
            if wanted is None or own.get(key) != wanted:
                return False
        return True

    def fill(at: int, bound: dict[str, Any]) -> Iterator[tuple[Any, ...]]:
        if at == len(rule.terms):
            yield tuple(bound.values())
            return
        term = rule.terms[at]
        for fact in [anchor] if at == 0 else by_type.get(term.fact, ()):
            if fits(term.where, fact, bound):
                yield from fill(at + 1, {**bound, term.alias: fact})

    return fill(0, {})


class Replay:
    """One review. `given` are the facts it began with, `case` the file they were gathered from."""

    def __init__(self, chained: Any, given: Sequence[Any], case: Path | None, seed: str = "") -> None:
        self.chained = chained
        self.given = {fact.id: fact for fact in given}
        self.sources = Sources(case.resolve()) if case is not None else None
        self.draw = random.Random(seed)
        self.worked_out = WorkedOut(given, self.sources.raw, self.draw) if self.sources is not None else None
        self.counts: Counter[str] = Counter()
        self.domains: dict[int, Any] = {}

    def objections(self) -> list[Objection]:
        """All that does not follow, nothing where every step does."""
        found = [*self.of_values(), *self.of_bindings(), *self.of_conclusions()]
        for said in self.chained.said:
            for step in said.steps:
                found += [(kind, f"{said.rule.name} {said.anchor.id}: {what}") for kind, what in self.of_step(step)]
        return found

    # -- leaves and numbers ----------------------------------------------------------------------------------

    def values(self) -> dict[int, Any]:
        """Every value that a test compared, once."""
        found: dict[int, Any] = {}
        for said in self.chained.said:
            for step in said.steps:
                for judged in (step.given, step.when, step.unless):
                    for test in judged.tests:
                        found |= {id(each): each for each in (test.left, test.right) if each is not None}
        return found

    def of_values(self) -> Iterator[Objection]:
        """Each leaf against its file, each number against its own formula."""
        leaves: dict[str, Any] = {}
        for value in self.values().values():
            numbers.beneath(value, leaves)
            yield from self.of_number(value)
        for known in self.chained.facts.values():
            leaves |= {leaf.path: leaf for leaf in known.fact.standing}
        for leaf in leaves.values() if self.sources else ():
            assert self.sources is not None and self.worked_out is not None
            worked_out = leaf.path.startswith(PREFIX)
            self.counts["worked out"] += worked_out
            fault = (self.worked_out if worked_out else self.sources).wrong_with(leaf)
            if fault:
                yield "leaf", fault

    def of_number(self, value: Any) -> Iterator[Objection]:
        """No sampled point leaves the range claimed, and the range claimed is no wider than what was found."""
        claimed = self.domains[id(value)] = value.domain if numbers.is_leaf(value) else value.domain()
        if numbers.is_leaf(value):
            return
        self.counts["number"] += 1
        tried = numbers.points([value], self.draw)
        fault = numbers.strayed(value, claimed, tried)
        if fault:
            yield "number", fault
        found = numbers.hull(value, tried)
        if isinstance(found, frozenset):
            wider = found < claimed.options
        else:
            near = 1e-6 * max(abs(found[0]), abs(found[1]), 1e-12)
            wider = claimed.lo < found[0] - near or claimed.hi > found[1] + near
        # A sum of many steps and a solved network may claim more than need be; words that need many worlds too.
        if wider:
            self.counts["wider than found"] += 1
            if type(value).__name__ == "Traced" and numbers.few(value):
                yield "number", f"{value.name} is claimed as {claimed}, found only {found}"

    # -- one step --------------------------------------------------------------------------------------------

    def of_step(self, step: Any) -> Iterator[Objection]:
        rule, bound = rules()[step.rule.name], {alias: known.fact for alias, known in step.binding.items()}
        self.counts[step.verdict.value] += 1
        if list(bound) != [term.alias for term in rule.terms]:
            yield "binding", f"binds {list(bound)}"
            return
        for term in rule.terms:
            if bound[term.alias].type != term.fact:
                yield "binding", f"{term.alias} is a {bound[term.alias].type}, not a {term.fact}"
        if tuple(bound.values()) not in joined(rule, self.by_type(), bound[rule.terms[0].alias]):
            yield "binding", "the facts do not join: " + ", ".join(fact.id for fact in bound.values())
        for part in ("given", "when", "unless"):
            raw = getattr(rule, part)
            judged = getattr(step, part)
            fault = self.of_truth(raw, judged, bound, TRUTH[judged.truth.value], default=part != "unless")
            if fault:
                yield "truth", f"{part}: {fault}"
            for fault in self.of_tests(raw, judged, bound):
                yield "test", f"{part}: {fault}"
        premises = min(self.stands(known.fact.id) for known in step.binding.values())
        supposed = any(leaf.origin == "supposed" for fact in bound.values() for leaf in fact.standing)
        parts = [TRUTH[getattr(step, part).truth.value] for part in ("given", "when", "unless")]
        mine = kleene.verdict(*parts, premises, supposed)
        if mine != step.verdict.value:
            yield "verdict", f"the step is {mine}, not {step.verdict.value}"
        if step.verdict.value == "not known":
            for leaf in step.needs:
                if leaf.domain.exact:
                    yield "needs", f"{leaf.path} is settled and would settle nothing"

    def of_truth(self, raw: Any, judged: Any, bound: dict[str, Any], its: float, default: bool) -> str:
        """Whether a condition came out as it must; empty where it did."""
        if raw is None:
            return "" if its == (kleene.YES if default else kleene.NO) else "no condition, yet it came out otherwise"
        types = {alias: fact.type for alias, fact in bound.items()}
        mine = kleene.truth(raw, lambda side: self.range_of(self.value(side, bound)), types)
        if mine == its:
            self.counts["truth by ranges"] += 1
            return ""
        if mine != kleene.OPEN:
            return f"it is {mine}, not {its}"
        # Ranges leave it open and it was settled: by words one at a time, or by what both sides share.
        values = {side: self.value(side, bound) for side in kleene.sides(raw)}
        for point in numbers.points(values.values(), self.draw):
            done: dict[int, Any] = {}
            here = {side: as_domain(numbers.run(value, point, done)) for side, value in values.items()}
            if kleene.truth(raw, here.__getitem__, types) == 1 - its:
                return f"it is {1 - its} at a point, not {its}"
        self.counts["truth by points"] += 1
        return ""

    def of_tests(self, raw: Any, judged: Any, bound: dict[str, Any]) -> Iterator[str]:
        """Whether each comparison shown is one of the rule's, on the values of the facts bound."""
        flat = list(comparisons(raw))
        if len(flat) != len(judged.tests):
            yield f"{len(judged.tests)} tests shown, {len(flat)} in the rule"
            return
        types = {alias: fact.type for alias, fact in bound.items()}
        for line, test in zip(flat, judged.tests, strict=True):
            ((_, body),) = line.items()
            if test.left is not self.value(body[0], bound):
                yield f"{body[0]} is not the value shown"
            mine = kleene.truth(line, lambda side: self.range_of(self.value(side, bound)), types)
            its = TRUTH[test.truth.value]
            if mine not in (its, kleene.OPEN):
                yield f"{line} is {mine}, not {its}"

    def value(self, side: str, bound: dict[str, Any]) -> Any:
        alias, _, name = side.partition(".")
        return bound[alias].values[name]

    def range_of(self, value: Any) -> Any:
        domain = self.domains.get(id(value))
        if domain is None:
            domain = self.domains[id(value)] = value.domain if numbers.is_leaf(value) else value.domain()
        return domain.options if hasattr(domain, "options") else (domain.lo, domain.hi)

    # -- bindings, conclusions, verdicts ---------------------------------------------------------------------

    def by_type(self) -> dict[str, list[Any]]:
        found: dict[str, list[Any]] = {}
        for known in self.chained.facts.values():
            found.setdefault(known.fact.type, []).append(known.fact)
        return found

    def of_bindings(self) -> Iterator[Objection]:
        """Every rule says one thing of every fact of its anchor, from all that stands together and no more."""
        by_type = self.by_type()
        said = {(each.rule.name, each.anchor.id): each for each in self.chained.said}
        if len(said) != len(self.chained.said):
            yield "subject", "a subject is judged twice"
        wanted = {(name, fact.id) for name, rule in rules().items() for fact in by_type.get(rule.terms[0].fact, ())}
        for name, id in wanted ^ set(said):
            yield (
                "subject",
                f"{name} {id}: {'judged, though there is no such fact' if (name, id) in said else 'not judged'}",
            )
        for (name, id), each in said.items():
            have = Counter(tuple(known.fact.id for known in step.binding.values()) for step in each.steps)
            fits = Counter(tuple(fact.id for fact in facts) for facts in joined(rules()[name], by_type, each.anchor))
            for ids in (have - fits) | (fits - have):
                yield "binding", f"{name} {id}: {'missing' if ids not in have else 'not one that joins'}: {ids}"
            worst = kleene.worst([step.verdict.value for step in each.steps])
            if worst != each.verdict.value:
                yield "subject", f"{name} {id}: {worst} by its steps, not {each.verdict.value}"
            self.counts["subject"] += 1

    def stands(self, id: str) -> float:
        """How sure a fact is: a given one by what it stands on, a concluded one by the steps that conclude it."""
        if id in self.given:
            return kleene.OPEN if self.given[id].standing else kleene.YES
        return self.concluded().get(id, (kleene.NO, []))[0]

    def concluded(self) -> dict[str, tuple[float, list[Any]]]:
        """What the steps conclude: id -> truth and the steps."""
        if not hasattr(self, "_concluded"):
            found: dict[str, tuple[float, list[Any]]] = {}
            for said in self.chained.said:
                line = rules()[said.rule.name].concludes
                for step in said.steps if line else ():
                    if step.verdict.value not in ("wrong", "not known"):
                        continue
                    keys = []
                    for key in facts()[line["fact"]]["keys"]:
                        alias, dot, name = line["keys"][key].partition(".")
                        keys.append(step.binding[alias].fact.keys[name] if dot else alias)
                    id = f"{line['fact']}({', '.join(keys)})"
                    sure = kleene.YES if step.verdict.value == "wrong" else kleene.OPEN
                    truth, steps = found.get(id, (kleene.OPEN, []))
                    found[id] = max(truth, sure), [*steps, step]
            self._concluded = found
        return self._concluded

    def of_conclusions(self) -> Iterator[Objection]:
        """Every fact of the chain is given, or proven by steps of a lower level than whoever reads it."""
        mine = self.concluded()
        made = {id: known for id, known in self.chained.facts.items() if id not in self.given}
        for id in mine.keys() ^ made.keys():
            yield "conclusion", f"{id}: {'concluded by no step' if id in made else 'missing'}"
        for id in mine.keys() & made.keys():
            truth, steps = mine[id]
            if TRUTH[made[id].truth.value] != truth:
                yield "conclusion", f"{id} is {made[id].truth.value}, by its steps {truth}"
            if sorted(map(id_of, steps)) != sorted(map(id_of, made[id].steps)):
                yield "conclusion", f"{id} does not keep the steps that conclude it"
            self.counts["conclusion"] += 1
        for id in self.given.keys() & self.chained.facts.keys():
            known = self.chained.facts[id]
            if TRUTH[known.truth.value] != self.stands(id) or known.fact is not self.given[id]:
                yield "conclusion", f"{id} is not the fact given"
        for said in self.chained.said:
            for step in said.steps:
                for known in step.binding.values():
                    if self.chained.facts.get(known.fact.id) is not known:
                        yield "conclusion", f"{said.rule.name} reads {known.fact.id}, which is no fact of the chain"
                    if any(levels()[below.rule.name] >= levels()[said.rule.name] for below in known.steps):
                        yield "conclusion", f"{said.rule.name} reads {known.fact.id} of no lower level"


def id_of(step: Any) -> tuple[str, ...]:
    """A step by its rule and the facts it binds."""
    return step.rule.name, *(known.fact.id for known in step.binding.values())


def as_domain(point: Any) -> Any:
    """A point as the range, or the set of words, that holds it alone."""
    return frozenset({point}) if isinstance(point, str) else (point, point)


def comparisons(raw: Any) -> Iterator[Any]:
    """The comparisons of a condition in reading order."""
    if raw is None:
        return
    ((op, body),) = raw.items()
    if op in ("all", "any"):
        for each in body:
            yield from comparisons(each)
    elif op == "not":
        yield from comparisons(body)
    else:
        yield raw
