"""Draws a rule base and the facts of a case from a seed: all that a rule file can ask, and much nobody knows.

Six levels of concluded facts; rules of one to five terms with joins, settled words, one fact in two terms and
nothing joined at all; conditions on exact values, ranges, sets and unknowns, on values computed from leaves
that several facts share, on limits; parts that are only supposed; partners that are absent.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from ringout.facts.fact import Fact
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import Traced, Value
from ringout.rulebase.condition import AllOf, Amount, AnyOf, Attr, Compare, Condition, LimitRef, Not
from ringout.rulebase.limits import Limit
from ringout.rulebase.load import levelled
from ringout.rulebase.rule import Conclusion, Rule, Term
from ringout.text.problem import Spot

LEVELS = 6
GIVEN = {"cable": ("part",), "fuse": ("part", "on"), "load": ("part", "on"), "bank": ("part",)}
"""Facts of a case and their keys."""
SETTLED = {"cable": ("pole",), "load": ("pole", "near")}
"""Words that are settled where they are there at all."""
CONCLUDED = {f"trouble{n}": ("part",) if n % 2 else ("part", "cause") for n in range(1, LEVELS)}
"""One concluded fact for every level but the last."""
NAMES = ("b1", "b2", 'the "7"', "käfig", "1", "1.0", "", "none", "\\")
SORTS = ("AGM", "gel", "LFP")
YES_NO = ("yes", "no")
AMOUNTS, WORDS, SORT = ("amps", "rated"), ("there", "wet"), "sort"


def _limit(name: str, **values: float) -> Limit:
    leaves = {
        "" if word == "any" else word: Leaf(f"limits.{name}.{word}", domain, origin=Origin.TABLE, known=True)
        for word, value in values.items()
        for domain in [Span(value, value + (word == "gel"))]
    }
    return Limit(name, name, "current", "practice", "", leaves)


LIMITS: Mapping[str, Limit] = {
    "most": _limit("most", any=3.0),
    "most_by_sort": _limit("most_by_sort", AGM=2.0, gel=3.0, LFP=5.0),
}


@dataclass(frozen=True, slots=True)
class Pack:
    """Rules with their levels, and the facts given."""

    rules: tuple[Rule, ...]
    facts: tuple[Fact, ...]


def pack(seed: int) -> Pack:
    """The pack of a seed."""
    return _Drawer(random.Random(seed)).pack()


class _Drawer:
    def __init__(self, draw: random.Random) -> None:
        self.draw = draw
        self.amounts = itertools.count(1)
        self.names = draw.sample(NAMES, draw.choice([1, 2, 2, 3]))
        self.numbers = [Leaf(f"n{n}", self.span()) for n in range(6)]
        # At most four words of two options each are open: what a condition is split over at most.
        self.words = [leaf(f"s{n}", draw.choice(YES_NO)) for n in range(3)]
        self.words += [leaf(f"w{n}", *YES_NO) for n in range(3)]
        self.sorts = [leaf("t0", *draw.sample(SORTS, 2)), leaf("t1", draw.choice(SORTS))]

    def chance(self, share: float) -> bool:
        return self.draw.random() < share

    # -- values ----------------------------------------------------------------------------------------------

    def span(self) -> Domain:
        low = float(self.draw.randint(0, 5))
        high = self.draw.choice([low, low, low, low + self.draw.randint(1, 3), 10.0, math.inf])
        return Span(0.0, 10.0) if self.chance(0.15) else Span(low, high)

    def amount(self) -> Value:
        x, y, word = self.draw.choice(self.numbers), self.draw.choice(self.numbers), self.draw.choice(self.words)
        made: list[tuple[Callable[..., float], tuple[Value, ...]]] = [
            (lambda x: 2 * x - 1, (x,)),
            (lambda x, y: x + y, (x, y)),
            (lambda word, x: x if word == "yes" else x + 3, (word, x)),
        ]
        if self.chance(0.5):
            return x
        return self.computed(*self.draw.choice(made))

    def word(self) -> Value:
        one, other = self.draw.choice(self.words), self.draw.choice(self.words)
        if self.chance(0.7):
            return one
        made: list[tuple[Callable[..., str], tuple[Value, ...]]] = [
            (lambda one: "no" if one == "yes" else "yes", (one,)),
            (lambda one, other: "yes" if one == other == "yes" else "no", (one, other)),
            (lambda one, other: one, (one, other)),
        ]
        return self.computed(*self.draw.choice(made))

    def computed(self, fn: Callable[..., float] | Callable[..., str], inputs: tuple[Value, ...]) -> Traced:
        once = Traced(fn, inputs, name="computed")
        return Traced(lambda x: x, (once,), name="the same") if self.chance(0.2) else once

    # -- facts -----------------------------------------------------------------------------------------------

    def facts(self) -> tuple[Fact, ...]:
        found: dict[str, Fact] = {}
        for type, keys in GIVEN.items():
            for _ in range(self.draw.choice([0, 1, 2, 4, 6])):
                values: dict[str, Value] = {name: self.amount() for name in AMOUNTS}
                values |= {name: self.word() for name in WORDS} | {SORT: self.draw.choice(self.sorts)}
                known = {key: self.name() for key in SETTLED.get(type, ()) if self.chance(0.8)}
                origin = self.draw.choice([Origin.SUPPOSED, Origin.NOT_STATED])
                there = (leaf(f"there{len(found)}", *YES_NO, origin=origin),) if self.chance(0.1) else ()
                made = Fact(type, {key: self.name() for key in keys}, values, known, there)
                found.setdefault(made.id, made)
        for type, keys in CONCLUDED.items():
            if self.chance(0.1):  # as in the examples that a rule carries
                there = (leaf(f"holds{len(found)}", *YES_NO),) if self.chance(0.5) else ()
                made = Fact(type, {key: self.name() for key in keys}, {}, {}, there)
                found.setdefault(made.id, made)
        order = list(found.values())
        self.draw.shuffle(order)
        return tuple(order)

    def name(self) -> str:
        return self.draw.choice(self.names)

    # -- rules -----------------------------------------------------------------------------------------------

    def pack(self) -> Pack:
        rules = [self.rule(level, n) for level in range(1, LEVELS + 1) for n in range(self.draw.randint(1, 3))]
        return Pack(levelled(rules), self.facts())

    def rule(self, level: int, number: int) -> Rule:
        """A rule that reads a conclusion of the level below, and concludes a fact of its own level, mostly."""
        types = [self.draw.choice(list(GIVEN))]
        below = list(CONCLUDED)[: level - 1]
        backbone = number == 0  # easily wrong, so that the levels above have something to read
        others = self.draw.choice([0, 1, 1] if backbone else [0, 1, 2, 2, 3, 4])
        types += [self.draw.choice([*GIVEN, types[0], *below]) for _ in range(others)]
        if below:
            types[1:2] = [below[-1]]
        terms = [Term("t0", types[0], {}, {})]
        for place, type in enumerate(types[1:], 1):
            terms.append(self.term(f"t{place}", type, terms, 0.25 if backbone else 0.5))
        shares = (0.1, 0.4, 0.1) if backbone else (0.4, 0.9, 0.4)
        given, when, unless = (self.condition(terms) if self.chance(share) else None for share in shares)
        conclusion = None
        if level < LEVELS and (backbone or self.chance(0.4)):
            made = list(CONCLUDED)[level - 1]
            conclusion = Conclusion(made, {key: self.source(terms) for key in CONCLUDED[made]})
        name = f"rule {level}.{number}"
        spot = Spot(name, 1, 1)
        return Rule(name, name, "loads", "", tuple(terms), given, when, unless, conclusion, None, (), (), spot)

    def term(self, alias: str, type: str, earlier: list[Term], join: float) -> Term:
        joins: dict[str, tuple[str, str]] = {}
        words: dict[str, str] = {}
        for key in joinable(type):
            other = self.draw.choice(earlier)
            kind = self.draw.random()
            if kind < join:
                joins[key] = (other.alias, self.draw.choice(joinable(other.fact)))
            elif kind < join + 0.05:
                words[key] = self.name()
        return Term(alias, type, joins, words)

    def source(self, terms: list[Term]) -> tuple[str, str] | str:
        term = self.draw.choice(terms)
        keys = (GIVEN | CONCLUDED)[term.fact]
        return self.name() if self.chance(0.15) else (term.alias, self.draw.choice(keys))

    # -- conditions ------------------------------------------------------------------------------------------

    def condition(self, terms: list[Term], deep: int = 2) -> Condition:
        kind = self.draw.random() if deep else 1.0
        if kind < 0.12:
            return Not(self.condition(terms, deep - 1))
        if kind < 0.5:
            parts = tuple(self.condition(terms, deep - 1) for _ in range(self.draw.randint(1, 3)))
            return AllOf(parts) if kind < 0.3 else AnyOf(parts)
        return self.compare(terms)

    def compare(self, terms: list[Term]) -> Compare:
        def attr(*names: str) -> Attr:
            return Attr(self.draw.choice([term.alias for term in terms if term.fact in GIVEN]), self.draw.choice(names))

        if self.chance(0.4):
            left = attr(*WORDS, SORT)
            options = SORTS if left.name == SORT else YES_NO
            op = self.draw.choice(["eq", "ne", "in"])
            words = self.draw.sample(options, self.draw.randint(1, len(options) - 1) if op == "in" else 1)
            return Compare(op, left, words=frozenset(words))
        low = float(self.draw.randint(0, 8))
        span = Span(low, low + self.draw.choice([0, 0, 0, 2]))
        written = Leaf(f"rule.{next(self.amounts)}", span, origin=Origin.TABLE, known=True)
        right = self.draw.choice([
            attr(*AMOUNTS), attr(*AMOUNTS), Amount(written),
            LimitRef("most", None), LimitRef("most_by_sort", attr(SORT)),
        ])  # fmt: skip
        return Compare(self.draw.choice(["gt", "ge", "lt", "le"]), attr(*AMOUNTS), right)


def leaf(path: str, *words: str, origin: Origin = Origin.NOT_STATED) -> Leaf:
    """A leaf that may still be each of the words."""
    return Leaf(path, Choice(frozenset(words)), origin=origin)


def joinable(type: str) -> tuple[str, ...]:
    """Keys and settled words of a fact type."""
    return (*(GIVEN | CONCLUDED)[type], *SETTLED.get(type, ()))
