"""The proof of a verdict as plain data: the facts that stood together, each comparison, each number."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ringout.inference.chain import Known, Said, Step, Verdict, judge_step
from ringout.inference.judge import Test, Truth
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import Traced, Value, domain_of, leaves_of, swing
from ringout.review.words import shown, value_shown
from ringout.rulebase.condition import Compare, LimitRef

WORDS = {
    "eq": "is",
    "ne": "is not",
    "in": "is one of",
    "gt": "more than",
    "ge": "at least",
    "lt": "less than",
    "le": "at most",
}
INPUTS = 3
"""Inputs named beside a number: those that move it most."""


@dataclass(frozen=True, slots=True)
class Input:
    """One leaf beneath a number: what the case says and where."""

    path: str
    value: str
    origin: str
    spot: str
    source: str


@dataclass(frozen=True, slots=True)
class Number:
    """A value with its formula, its source and the inputs that matter most; `more` counts the others."""

    name: str
    value: str
    formula: str
    source: str
    inputs: tuple[Input, ...]
    more: int


@dataclass(frozen=True, slots=True)
class Line:
    """One comparison, read aloud, and how it came out."""

    part: str
    says: str
    truth: Literal["yes", "no", "not known"]
    numbers: tuple[Number, ...]


@dataclass(frozen=True, slots=True)
class Proof:
    """One step: the rule, the facts bound, the comparisons, and the proofs of conclusions it stands on."""

    rule: str
    says: str
    verdict: str
    facts: tuple[str, ...]
    lines: tuple[Line, ...]
    beneath: tuple[Proof, ...]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What an answer to an open leaf would make of the verdict."""

    path: str
    answer: str
    verdict: str


def proof(said: Said) -> Proof | None:
    """The proof of the deciding step, None where nothing stood together."""
    return _proof(said.step) if said.step is not None else None


def outcomes(said: Said) -> tuple[Outcome, ...]:
    """For each open word leaf that could settle the verdict: what each answer alone would make of it."""
    step = said.step
    if step is None or step.verdict is not Verdict.NOT_KNOWN:
        return ()
    found = []
    for leaf in step.needs:
        if not isinstance(leaf.domain, Choice) or len(leaf.domain.options) > 6:
            continue
        for word in sorted(leaf.domain.options):
            view = {leaf.path: Choice(frozenset({word}))}
            verdict = judge_step(step.rule, step.binding, view).verdict
            found.append(Outcome(leaf.path, word, verdict.value))
    return tuple(found)


def _proof(step: Step) -> Proof:
    lines = []
    for part, judged in (("given", step.given), ("when", step.when), ("unless", step.unless)):
        lines += [_line(part, test, step) for test in judged.tests]
    beneath = tuple(_proof(known.steps[0]) for known in step.binding.values() if known.steps)
    facts = tuple(_fact(known) for known in step.binding.values())
    return Proof(step.rule.name, step.rule.says, step.verdict.value, facts, tuple(lines), beneath)


def _fact(known: Known) -> str:
    return known.fact.id + ("" if known.truth is Truth.YES else " (not known whether)")


def _line(part: str, test: Test, step: Step) -> Line:
    condition = test.condition
    left = f"{condition.left.name.replace('_', ' ')} of {step.binding[condition.left.alias].fact.id}"
    says = f"{left} {WORDS[condition.op]} {_right(condition, test)}: it is {value_shown(test.left)}"
    numbers = [number(test.left)]
    if test.right is not None:
        numbers.append(number(test.right))
    return Line(part, says, test.truth.value, tuple(numbers))


def _right(condition: Compare, test: Test) -> str:
    if test.right is None:
        return " or ".join(sorted(word.replace("_", " ") for word in condition.words))
    value = value_shown(test.right)
    if isinstance(condition.right, LimitRef):
        return f"{value} (limit {condition.right.name})"
    return value


def number(value: Value) -> Number:
    """A value with what it is made of."""
    if isinstance(value, Leaf):
        return Number(value.path, value_shown(value), "", "", (_input(value),), 0)
    leaves = sorted(leaves_of(value), key=lambda leaf: (-_weight(value, leaf), leaf.path))
    return Number(
        value.name,
        value_shown(value),
        value.formula,
        value.source,
        tuple(_input(leaf) for leaf in leaves[:INPUTS]),
        max(0, len(leaves) - INPUTS),
    )


def _weight(value: Traced, leaf: Leaf) -> float:
    """How much a leaf matters to a value: how far it moves it; of the rest, the case before a table."""
    moved = 0.0 if leaf.settled else swing(value, leaf)
    if moved:
        domain = domain_of(value)
        width = domain.hi - domain.lo if isinstance(domain, Span) else 1.0
        return 1.0 + moved / (width or 1.0)
    return (
        0.5 if leaf.spot is not None and not leaf.path.startswith(("tables.", "limits.", "number.")) else 0.0
    )


def _input(leaf: Leaf) -> Input:
    value = shown(leaf.domain, leaf.dimension) if leaf.known else "not known"
    if leaf.word is not None:
        value = f"{shown(leaf.word, leaf.dimension)}, which only a test or report would show"
    elif not leaf.known and isinstance(leaf.domain, Span):
        value += f", taken as {shown(leaf.domain, leaf.dimension)}"
    spot = str(leaf.spot) if leaf.spot is not None and leaf.told else ""
    return Input(leaf.path, value, leaf.origin.value, spot, leaf.source)
