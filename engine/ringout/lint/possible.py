"""Whether conditions can come true together: no contradiction of words, limits, bounds or order.

It never calls something impossible that is possible. What it overlooks is a contradiction that only arithmetic
over three or more values would show.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from ringout.case.form import form, sheet
from ringout.facts.catalogue import SHEETS, FactType, catalogue
from ringout.lint.base import Base, Written, compares, within
from ringout.quantity.span import Span
from ringout.rulebase.condition import AllOf, Amount, AnyOf, Attr, Compare, Condition, LimitRef, Not
from ringout.rulebase.limits import limits
from ringout.text.problem import Problem

NEGATED = {"gt": "le", "ge": "lt", "lt": "ge", "le": "gt"}
TURNED = {"gt": "lt", "lt": "gt", "ge": "le", "le": "ge"}
ORDERS = {"gt": {1}, "ge": {0, 1}, "lt": {-1}, "le": {-1, 0}}
"""How the left side may stand to the right one."""
UNBOUND = Span(-math.inf, math.inf)

Wanted = tuple[Condition, bool]
"""A condition, and whether it is to be so or not."""


@dataclass(frozen=True)
class Left:
    """What is still left to each attribute: words, a range with its open ends, the order of two of them."""

    words: Mapping[Attr, frozenset[str]] = field(default_factory=dict)
    spans: Mapping[Attr, tuple[float, bool, float, bool]] = field(default_factory=dict)
    orders: Mapping[tuple[Attr, Attr], frozenset[int]] = field(default_factory=dict)


def impossible(base: Base) -> Iterator[Problem]:
    """Rules, branches and grades that can never come true, and tests that come out one way only."""
    for written in base.rules.values():
        yield from _tests(written)
        yield from _whole(written)


def _tests(written: Written) -> Iterator[Problem]:
    solver = Solver(written)
    for loc, whole in written.conditions():
        for at, compare in compares(loc, whole):
            for so, word in ((True, "never"), (False, "always")):
                if not solver.possible([(compare, so)]):
                    yield written.wrong(at, "a test that can come out both ways", f"one that is {word} so")


def _whole(written: Written) -> Iterator[Problem]:
    rule, solver = written.rule, Solver(written)
    fires: list[Wanted] = [(each, True) for each in (rule.given, rule.when) if each is not None]
    if rule.unless is not None:
        fires.append((rule.unless, False))
    if not solver.possible(fires):
        yield written.wrong((), "conditions that can come true together", "a rule that can never fire")
        return
    for part in ("given", "when"):
        condition = getattr(rule, part)
        if condition is None:
            continue
        for at, each in within((part,), condition):
            if isinstance(each, AnyOf):
                for number, branch in enumerate(each.of):
                    if not solver.possible([*fires, (branch, True)]):
                        expected = "a branch that can come true beside the rest"
                        yield written.wrong((*at, number), expected, "one that never can")
    text = rule.finding
    for number, (loc, condition) in enumerate(written.graver()):
        assert text is not None
        if not solver.possible([*fires, (condition, True)]):
            yield written.wrong(loc, "a grade that can take over", "one whose condition never comes true here")
        grade = text.graver[number][1]
        if (grade.cls, grade.risk) >= (text.grade.cls, text.grade.risk):
            expected = f"a grade graver than class {text.grade.cls}, risk {text.grade.risk}"
            yield written.wrong(loc[:-1], expected, f"class {grade.cls}, risk {grade.risk}")


class Solver:
    """Tries the conditions of one rule by what the catalogue and the forms allow its attributes."""

    def __init__(self, written: Written) -> None:
        self.types = {term.alias: catalogue()[term.fact] for term in written.rule.terms}

    def possible(self, wanted: Sequence[Wanted]) -> bool:
        """Whether any values make each condition come out as wanted."""
        return self._solve(tuple(wanted), Left())

    def _solve(self, wanted: tuple[Wanted, ...], left: Left) -> bool:
        if not wanted:
            return True
        (condition, so), rest = wanted[0], wanted[1:]
        if isinstance(condition, Not):
            return self._solve(((condition.of, not so), *rest), left)
        if isinstance(condition, AllOf | AnyOf):
            parts: list[Wanted] = [(each, so) for each in condition.of]
            if isinstance(condition, AllOf) is so:
                return self._solve((*parts, *rest), left)
            return any(self._solve((part, *rest), left) for part in parts)
        return any(self._solve(rest, each) for each in self._narrowed(condition, so, left))

    def _narrowed(self, compare: Compare, so: bool, left: Left) -> Iterator[Left]:
        attr = compare.left
        if compare.right is None:
            keep = compare.words if so is (compare.op != "ne") else self._options(attr) - compare.words
            yield from self._worded(attr, keep, left)
            return
        op = compare.op if so else NEGATED[compare.op]
        if isinstance(compare.right, Attr):
            yield from self._ordered(attr, op, compare.right, left)
        elif isinstance(compare.right, Amount):
            span = compare.right.leaf.domain
            assert isinstance(span, Span)
            yield from self._ranged(attr, op, span, left)
        else:
            yield from self._limited(attr, op, compare.right, left)

    def _limited(self, attr: Attr, op: str, ref: LimitRef, left: Left) -> Iterator[Left]:
        for word, leaf in limits()[ref.name].leaves.items():
            assert isinstance(leaf.domain, Span)
            if ref.by is None:
                yield from self._ranged(attr, op, leaf.domain, left)
            else:
                for each in self._worded(ref.by, frozenset({word}), left):
                    yield from self._ranged(attr, op, leaf.domain, each)

    def _options(self, attr: Attr) -> frozenset[str]:
        return frozenset(self.types[attr.alias].attributes[attr.name].options)

    def _worded(self, attr: Attr, keep: frozenset[str], left: Left) -> Iterator[Left]:
        words = left.words.get(attr, self._options(attr)) & keep
        if words:
            yield replace(left, words={**left.words, attr: words})

    def _ranged(self, attr: Attr, op: str, limit: Span, left: Left) -> Iterator[Left]:
        its = self.types[attr.alias]
        bounds = field_bounds(its, attr.name)
        low, low_open, high, high_open = left.spans.get(attr, (bounds.lo, False, bounds.hi, False))
        # A limit that is a range is surely passed only beyond its far end.
        if op in ("gt", "ge"):
            low, low_open = max((low, low_open), (limit.hi, op == "gt"))
        else:
            high, wide = min((high, not high_open), (limit.lo, op == "le"))
            high_open = not wide
        if low < high or (low == high and not low_open and not high_open):
            yield replace(left, spans={**left.spans, attr: (low, low_open, high, high_open)})

    def _ordered(self, attr: Attr, op: str, other: Attr, left: Left) -> Iterator[Left]:
        one, two = sorted((attr, other), key=lambda each: (each.alias, each.name))
        allowed = ORDERS[op if one == attr else TURNED[op]] & ({0} if one == two else {-1, 0, 1})
        orders = left.orders.get((one, two), frozenset({-1, 0, 1})) & allowed
        if orders:
            yield replace(left, orders={**left.orders, (one, two): orders})


def field_bounds(its: FactType, name: str) -> Span:
    """The widest plausible range of a field that a fact reads; of a computed value nothing is said."""
    if name not in its.reads:
        return UNBOUND
    forms = [form(kind) for kind in its.part_kinds] or [sheet(SHEETS[its.name])]
    spans = [bounds for each in forms if name in each.fields and (bounds := each.fields[name].bounds)]
    return Span(min(each.lo for each in spans), max(each.hi for each in spans)) if spans else UNBOUND
