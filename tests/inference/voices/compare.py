"""Puts one question to all voices and insists on one answer; counts what the question was made of."""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

import by_clips
from brute import FAR, Answer, Brute, Row, Truth, at, holds, leaves, sides

from ringout.facts.fact import Fact
from ringout.inference import chain, durable, judge
from ringout.inference.durable import DurableMatcher
from ringout.inference.judge import Truth as Judged
from ringout.inference.plain import PlainMatcher
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Domain
from ringout.quantity.traced import Point
from ringout.rulebase.condition import AllOf, Compare, Condition, LimitRef, Not
from ringout.rulebase.limits import Limit
from ringout.rulebase.rule import Rule

TRUTHS: Mapping[Judged, Truth] = {Judged.YES: True, Judged.NO: False, Judged.OPEN: None}


def chained(out: chain.Chained) -> Answer:
    """What the chain says, as the other voices put it."""
    answer = Answer()
    for said in out.said:
        answer.said[said.rule.name, said.anchor.id] = said.verdict.value, said.missing
        for step in said.steps:
            truths = (TRUTHS[part.truth] for part in (step.given, step.when, step.unless))
            place = said.rule.name, tuple(known.fact.id for known in step.binding.values())
            answer.steps[place] = (step.verdict.value, *truths)
    answer.sure = {id: known.truth is Judged.YES for id, known in out.facts.items()}
    assert sorted(out.agenda) == sorted(answer.steps), "a candidate was judged twice, or not at all"
    return answer


def compare(rules: Sequence[Rule], facts: Sequence[Fact], limits: Mapping[str, Limit]) -> Counter[str]:
    """Raise AssertionError with the first difference between the voices; else what there was to agree on."""
    judge.limits = lambda: dict(limits)
    brute = Brute(rules, facts, limits)
    expected = brute.answer
    seen: Counter[str] = Counter()
    answers = {"plain": chained(chain.chain(rules, facts, PlainMatcher))}
    if durable.available():
        answers["durable"] = chained(chain.chain(rules, facts, DurableMatcher))
    if by_clips.available():
        engine = by_clips.Clips(rules, facts, limits)
        answers["clips"] = engine.run(facts)
        seen.update({"clips settled": engine.settled, "clips asked": engine.asked})
    for name, answer in answers.items():
        for what in ("steps", "sure", "said"):
            found, wanted = getattr(answer, what), getattr(expected, what)
            if found != wanted:
                first = min(key for key in found.keys() | wanted.keys() if found.get(key) != wanted.get(key))
                raise AssertionError(
                    f"{what}, {first}: {name} says {found.get(first)}, brute force {wanted.get(first)}"
                )
        seen[f"voice {name}"] += 1
    seen.update(found_in(rules, brute))
    sound(rules, brute)
    return seen


# -- settled means settled -----------------------------------------------------------------------------------


def sound(rules: Sequence[Rule], brute: Brute) -> None:
    """A settled condition comes out the same at points drawn anywhere within its leaves."""
    draw = random.Random(len(brute.rows))
    by_name = {rule.name: rule for rule in rules}
    for (name, ids), row in brute.rows.items():
        rule, truths = by_name[name], brute.answer.steps[name, ids][1:]
        for condition, truth in zip((rule.given, rule.when, rule.unless), truths, strict=True):
            if condition is not None and truth is not None:
                for _ in range(3):
                    world = {path: point(leaf.domain, draw) for path, leaf in rests_on(condition, row, brute).items()}
                    assert true_at(condition, row, world, brute) == truth, f"{name} {ids} is not {truth} at {world}"


def comparisons(condition: Condition) -> Iterator[Compare]:
    if isinstance(condition, Compare):
        yield condition
    else:
        for each in [condition.of] if isinstance(condition, Not) else condition.of:
            yield from comparisons(each)


def rests_on(condition: Condition, row: Row, brute: Brute) -> dict[str, Leaf]:
    return {
        path: leaf
        for each in comparisons(condition)
        for side in sides(each, row, brute.limits)
        if side is not None
        for path, leaf in leaves(side).items()
    }


def point(domain: Domain, draw: random.Random) -> Point:
    if isinstance(domain, Choice):
        return draw.choice(sorted(domain.options))
    return draw.uniform(domain.lo, min(domain.hi, draw.choice([domain.lo + 10, FAR])))


def true_at(condition: Condition, row: Row, world: Mapping[str, Point], brute: Brute) -> bool:
    if isinstance(condition, Compare):
        left, right = sides(condition, row, brute.limits)
        return holds(condition, at(left, world), None if right is None else at(right, world))
    if isinstance(condition, Not):
        return not true_at(condition.of, row, world, brute)
    each = (true_at(part, row, world, brute) for part in condition.of)
    return all(each) if isinstance(condition, AllOf) else any(each)


# -- what the question was made of ---------------------------------------------------------------------------


def found_in(rules: Sequence[Rule], brute: Brute) -> Counter[str]:
    """How often each construct stood in a row that was judged, and each outcome."""
    seen: Counter[str] = Counter()
    by_name = {rule.name: rule for rule in rules}
    reached = {name for name, _ in brute.rows}
    makers: Counter[str] = Counter()
    for (name, ids), row in brute.rows.items():
        rule, found = by_name[name], brute.answer.steps[name, ids][0]
        seen[f"{len(rule.terms)} terms"] += 1
        seen["literals"] += any(term.words for term in rule.terms)
        seen["joins"] += any(term.joins for term in rule.terms)
        seen["nothing joined"] += any(not term.joins and not term.words for term in rule.terms[1:])
        seen["one fact in two terms"] += len(set(ids)) < len(ids)
        seen["not sure"] += any(not brute.answer.sure[id] for id in ids)
        seen["supposed"] += any(leaf.origin.value == "supposed" for fact in row.values() for leaf in fact.standing)
        for part, condition in (("given", rule.given), ("when", rule.when), ("unless", rule.unless)):
            if condition is not None:
                seen[part] += 1
                seen["limits"] += any(isinstance(each.right, LimitRef) for each in comparisons(condition))
                for leaf in rests_on(condition, row, brute).values():
                    seen[kind(leaf.domain)] += 1
        seen[f"level {rule.level}"] += 1
        if rule.level == 6:
            seen[f"level 6 {found}"] += 1
        if rule.conclusion and found in ("wrong", "not known"):
            made = Fact(rule.conclusion.fact, {
                key: source if isinstance(source, str) else row[source[0]].keys[source[1]]
                for key, source in rule.conclusion.keys.items()
            })  # fmt: skip
            makers[made.id] += 1
    seen["merged conclusions"] = sum(count > 1 for count in makers.values())
    anchors = Counter((name, ids[0]) for name, ids in brute.rows)
    seen["several rows of one anchor"] = sum(count > 1 for count in anchors.values())
    for verdict, missing in brute.answer.said.values():
        seen[verdict] += 1
        seen["absent partner"] += bool(missing)
    seen["rules reached"] = len(reached)
    return seen


def kind(domain: Domain) -> str:
    if isinstance(domain, Choice):
        return "one word" if len(domain.options) == 1 else "sets"
    return "exact" if domain.exact else "open end" if math.isinf(domain.hi) else "ranges"
