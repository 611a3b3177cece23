"""The proof of a verdict as plain data: the facts that stood together, each comparison, each number."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from ringout.case.case import YES_NO, Case
from ringout.inference.chain import Known, Said, Step
from ringout.inference.judge import Test, Truth
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Span
from ringout.quantity.telling import swing
from ringout.quantity.traced import Traced, Value, domain_of, leaves_of
from ringout.review.sensitivity import beyond
from ringout.review.words import both_told, part_name, shown, value_shown
from ringout.rulebase.condition import Amount, LimitRef
from ringout.rulebase.limits import limits

MORE = {"gt": "more than", "ge": "at least", "lt": "less than", "le": "at most"}
"""Comparisons read aloud."""
NUDGE = 1.01
"""An exact number is moved by this factor to see how much it matters."""
NOT_INPUTS = ("number.", "rule.")
"""Numbers written in formulas and rules."""
MOSTLY = 0.99
"""A range that one unknown value makes to more than this part is no more than its plausible bounds."""
LIMITS = 2
"""Limits by word named at once."""
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
    """One comparison, read aloud, and how it came out.

    `room` says by how much a limit is kept or passed, or how much of a range lies beyond it; `limit` where the
    limit comes from; both "" where there is none. `numbers` holds what was compared, a limit last.
    """

    part: str
    says: str
    truth: Literal["yes", "no", "not known"]
    numbers: tuple[Number, ...]
    room: str = ""
    limit: str = ""


@dataclass(frozen=True, slots=True)
class Proof:
    """One step: the rule, the facts bound, the comparisons, and the proofs of conclusions it stands on."""

    rule: str
    says: str
    verdict: str
    facts: tuple[str, ...]
    lines: tuple[Line, ...]
    beneath: tuple[Proof, ...]


def proof(said: Said, case: Case) -> Proof | None:
    """The proof of the deciding step, None where nothing stood together."""
    return _proof(said.step, case) if said.step is not None else None


def _proof(step: Step, case: Case) -> Proof:
    lines = []
    for part, judged in (("given", step.given), ("when", step.when), ("unless", step.unless)):
        lines += [_line(part, test, case) for test in judged.tests]
    beneath = tuple(_proof(known.steps[0], case) for known in step.binding.values() if known.steps)
    facts = tuple(_fact(known) for known in step.binding.values())
    return Proof(step.rule.name, step.rule.says, step.verdict.value, facts, tuple(lines), beneath)


def _fact(known: Known) -> str:
    return known.fact.id + ("" if known.truth is Truth.YES else " (not known whether)")


def _line(part: str, test: Test, case: Case) -> Line:
    left, right = test.left, test.right
    if right is None:
        says = f"{called(left, case)}: {_words(test)}"
        return Line(part, says, test.truth.value, (number(left),))
    aside = {Truth.YES: "", Truth.NO: "not ", Truth.OPEN: "perhaps "}[test.truth]
    says = f"{called(left, case)}: {_value(left)}, {aside}{MORE[test.condition.op]} {_right(test, right, case)}"
    numbers = (number(left), number(right))
    return Line(part, says, test.truth.value, numbers, _room(part, test, right), _limit(test, right))


def called(value: Value, case: Case) -> str:
    """What a value is called: "drop to fridge", "current of fridge", "inverter: search mode"."""
    if isinstance(value, Traced):
        return " ".join(_plain_name(case, word) for word in value.name.split())
    name, _, key = value.path.rpartition(".")
    if name == "looked_for":
        return f"every {key.replace('_', ' ')} looked for"
    if name in ("habits", "surroundings", "installation", ""):
        return key.replace("_", " ")
    part = name.removesuffix(".place")
    whose = part_name(case, part) if part == name else f"the place of {part_name(case, part)}"
    return f"{key.replace('_', ' ')} of {whose}"


def _plain_name(case: Case, word: str) -> str:
    return word if word in case.hops or "~" in word else word.replace("_", " ")


def _value(value: Value) -> str:
    if isinstance(value, Leaf) and not value.known and value.origin is not Origin.TABLE:
        return f"{shown(value.hint, value.dimension)} only {value.origin.value}" if value.hint else "not known"
    domain = domain_of(value)
    return "not known" if domain == YES_NO else value_shown(value)


def _words(test: Test) -> str:
    wanted = " or ".join(sorted(word.replace("_", " ") for word in test.condition.words))
    value, negative = value_shown(test.left), test.condition.op == "ne"
    if test.truth is Truth.OPEN:
        return f"{_value(test.left)}; the question is whether it is {wanted}"
    if (test.truth is Truth.YES) == negative and {value, wanted} != {"yes", "no"}:
        return f"{value}, not {wanted}"
    return value


def _right(test: Test, right: Value, case: Case) -> str:
    if isinstance(test.condition.right, LimitRef):
        return f"the limit of {value_shown(right)}"
    if isinstance(test.condition.right, Amount):
        return value_shown(right)
    return f"{called(right, case)}, {_value(right)}"


def _limit(test: Test, right: Value) -> str:
    """Where a limit comes from; of a table of limits only those for what the case may be."""
    if not isinstance(test.condition.right, LimitRef):
        return ""
    its = limits()[test.condition.right.name]
    says, for_ = its.says, ""
    if isinstance(right, Traced):
        words = domain_of(right.inputs[0])
        by_word = words.options if isinstance(words, Choice) else frozenset()
        leaves = [leaf for word, leaf in its.leaves.items() if word in by_word]
        for_ = f", for {shown(words, '')}" if len(leaves) <= LIMITS else ""
    else:
        leaves = [right] if isinstance(right, Leaf) else []
    spot = f" at {leaves[0].spot}" if leaves else ""
    basis = "" if its.source.startswith("common practice") else f"{its.basis}: "
    return f"{says}{for_}{spot} [{basis}{its.source}]"


def _room(part: str, test: Test, right: Value) -> str:
    """By how much a limit is kept or passed, or the part of the range that lies beyond it."""
    left, other = domain_of(test.left), domain_of(right)
    if part != "when" or not isinstance(left, Span) or not isinstance(other, Span):
        return ""
    up = test.condition.op in ("gt", "ge")
    if test.truth is Truth.OPEN:
        return _share(test.left, left, other, test.condition.op)
    over = left.lo - other.hi if up else other.lo - left.hi
    under = other.lo - left.hi if up else left.lo - other.hi
    gap, words = (over, "beyond it") if test.truth is Truth.YES else (under, "to spare")
    if gap < 0 or math.isinf(gap):  # both rest on a common value: only their difference was judged
        return ""
    least = "" if left.exact and other.exact else "at least "
    return f"{least}{difference(gap, test.left.dimension)} {words}"


def _share(value: Value, left: Span, right: Span, op: str) -> str:
    width = left.hi - left.lo
    unknown = [leaf for leaf in leaves_of(value) if not leaf.known and isinstance(leaf.domain, Span)]
    if any(swing(value, leaf) > MOSTLY * width for leaf in unknown):
        return ""  # a range that only plausible bounds give says nothing of this case
    shares = beyond(left, right, op)
    if shares is None:
        return ""
    over, under = (round(100 * share) for share in shares)
    if over + under >= 99:
        return f"{max(1, min(99, over))} % of that range lies beyond the limit"
    return f"{over} % of that range lies beyond the limit, {under} % within, the rest hangs on the limit"


def difference(gap: float, dimension: str) -> str:
    """The distance between two values of a dimension, in print."""
    if dimension == "ratio":
        return f"{100 * gap:.3g} percentage points"
    if dimension == "temperature":
        return f"{gap:.3g} K"
    return shown(Span(gap, gap), dimension)


def number(value: Value) -> Number:
    """A value with what it is made of."""
    if isinstance(value, Leaf):
        return Number(value.path, value_shown(value), "", "", (_input(value),), 0)
    inputs = [leaf for leaf in value.leaves if not leaf.path.startswith(NOT_INPUTS) and _can_matter(value, leaf)]
    leaves = sorted(inputs, key=lambda leaf: (-_weight(value, leaf), leaf.path))
    return Number(
        value.name,
        value_shown(value),
        value.formula,
        value.source,
        tuple(_input(leaf) for leaf in leaves[:INPUTS]),
        max(0, len(leaves) - INPUTS),
    )


def _can_matter(value: Traced, leaf: Leaf) -> bool:
    """Whether a value of a table by word is that of a word the case may be."""
    table, _, word = leaf.path.rpartition(".")
    if leaf.origin is not Origin.TABLE or table == "tables":
        return True
    words = [each.domain.options for each in value.leaves if isinstance(each.domain, Choice)]
    named = [options for options in words if word in options]
    others = any(other.path.rpartition(".")[2] in options for options in words for other in value.leaves
                 if other.path.startswith(table + "."))  # fmt: skip
    return bool(named) or not others


def _weight(value: Traced, leaf: Leaf) -> float:
    """How much a leaf matters to a value: how far it moves it; of exact ones, how far a nudge would."""
    domain = domain_of(value)
    width = domain.hi - domain.lo if isinstance(domain, Span) else 1.0
    moved = 0.0 if leaf.settled else swing(value, leaf)
    if moved:
        return 1.0 + moved / (width or 1.0)
    of_case = 0.5 if leaf.spot is not None and leaf.origin is not Origin.TABLE else 0.0
    return of_case + 0.4 * min(1.0, _nudged(value, leaf))


def _nudged(value: Traced, leaf: Leaf) -> float:
    """The part by which a value grows or falls for each part by which an exact number does."""
    middle = value.middle
    if not isinstance(leaf.domain, Span) or not leaf.settled or leaf.dimension == "count" or isinstance(middle, str):
        return 0.0
    there = value.nudged(leaf, NUDGE)
    return abs(float(there) - float(middle)) / (abs(float(middle)) or 1.0) / (NUDGE - 1.0)


def _input(leaf: Leaf) -> Input:
    value = shown(leaf.domain, leaf.dimension) if leaf.known else "not known"
    if told := both_told(leaf):
        value += f"; {told}"
    elif leaf.word is not None:
        value = f"{shown(leaf.word, leaf.dimension)}, which only a test or report would show"
    else:
        if leaf.hint is not None:
            value = f"{shown(leaf.hint, leaf.dimension)} is only {leaf.origin.value}"
        if not leaf.known and isinstance(leaf.domain, Span):
            value += f", taken as {shown(leaf.domain, leaf.dimension)}"
    spot = str(leaf.spot) if leaf.spot is not None and (leaf.told or leaf.hint is not None) else ""
    return Input(leaf.path, value, leaf.origin.value, spot, leaf.source)
