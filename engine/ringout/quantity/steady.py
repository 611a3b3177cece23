"""Steady values: computed values that each of their inputs moves one way only, whatever the others are.

The lowest and the highest then need two evaluations, not one for every corner: all that raises the value at
its low end with all that lowers it at its high end, and the other way round. Made of one another they give
the range of a long sum (the volts lost along a feeder) at the price of its last step.

A leaf beneath several inputs may stand at both of its ends at once where it raises the value through one and
lowers it through another. The range is then wider than need be, and never too narrow; open words are walked
through one by one, so that what hangs on the same word stays together.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence, Set
from typing import cast

from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import (
    NO_VIEW,
    WORLDS,
    Formula,
    Point,
    Traced,
    Value,
    View,
    domain_of,
    ends_of,
    middle_of,
)


class Steady(Traced):
    """A number that grows with each of its inputs, or falls with those whose place is in `falls`."""

    __slots__ = ("_middles", "falls")

    def __init__(
        self,
        fn: Callable[..., Point],
        inputs: tuple[Value, ...],
        *,
        name: str,
        dimension: str = "",
        formula: str = "",
        source: str = "",
        falls: tuple[int, ...] = (),
    ) -> None:
        super().__init__(fn, inputs, name=name, dimension=dimension, formula=formula, source=source)
        self.falls = falls
        self._middles: list[Point] | None = None

    @property
    def middle(self) -> Point:
        """The value with every leaf at the middle of its domain, or at the first of its words."""
        return self._inputs_and_it()[-1]

    def _inputs_and_it(self) -> list[Point]:
        """The inputs with every leaf at its middle, and the value itself."""
        if self._middles is None:
            inputs = [middle_of(each.domain) if isinstance(each, Leaf) else each.middle for each in self.inputs]
            self._middles = [*inputs, self.fn(*inputs)]
        return self._middles

    def _move(self, beneath: Set[str], known: dict[str, list[Point]]) -> None:
        """What many values are made of (a shared feeder) is moved once for all of them."""
        columns: list[tuple[int, Mapping[str, list[Point]], Set[str]]] = []
        for place, each in enumerate(self.inputs):
            if isinstance(each, Leaf):
                if each.path in beneath:
                    columns.append((place, {each.path: ends_of(each.domain)}, {each.path}))
            elif here := beneath & each.paths:
                columns.append((place, each.moved(here), here))
        if self.fn in ADDING and math.isfinite(cast("float", self.middle)):
            self._shift(columns, known)
            return
        fn, middles = self.fn, self._inputs_and_it()
        inputs = middles[:-1]
        for path in beneath:
            moves = [(place, moved[path]) for place, moved, here in columns if path in here]
            results = []
            for end in range(len(moves[0][1])):
                for place, ends in moves:
                    inputs[place] = ends[end]
                results.append(fn(*inputs))
            known[path] = results
            for place, _ in moves:
                inputs[place] = middles[place]

    def _shift(
        self, columns: Sequence[tuple[int, Mapping[str, list[Point]], Set[str]]], known: dict[str, list[Point]]
    ) -> None:
        """A sum moves as far as what it is made of: nothing of it is added up again."""
        middles = cast("list[float]", self._inputs_and_it())
        base = middles[-1]
        for place, moved, here in columns:
            middle, sign = middles[place], -1.0 if place in self.falls else 1.0
            for path in here:
                ends, so_far = cast("list[float]", moved[path]), cast("list[float] | None", known.get(path))
                if so_far is None:
                    known[path] = [base + sign * (end - middle) for end in ends]
                else:
                    known[path] = [at + sign * (end - middle) for at, end in zip(so_far, ends, strict=True)]

    def domain(self, view: View = NO_VIEW) -> Domain:
        """Range over the domains of the leaves, `view` replacing some of them."""
        if view:
            return super().domain(view)
        # The hottest lines of a review: no call for what is a leaf, or was found before.
        if self._own is None:
            spans, wordless = [], True
            for each in self.inputs:
                if isinstance(each, Leaf):
                    spans.append(each.domain)
                else:
                    spans.append(each._own or each.domain())
                    wordless = wordless and not (each.words if each._words is None else each._words)
            if wordless:
                self._words = ()
                self._own = self._between(cast("list[Span]", spans))
            else:
                self._own = self._spread(NO_VIEW)
        return self._own

    def _spread(self, view: View) -> Span:
        if not self.words:
            return self._ends(view)
        words = {leaf.path: domain_of(leaf, view) for leaf in self.words}
        options = {path: sorted(d.options) for path, d in words.items() if isinstance(d, Choice)}
        worlds = math.prod(len(each) for each in options.values())
        if worlds == 1 or worlds > WORLDS:
            return self._ends(view)
        spans = []
        for chosen in itertools.product(*options.values()):
            world = {path: Choice(frozenset({word})) for path, word in zip(options, chosen, strict=True)}
            spans.append(self._ends({**view, **world}))
        return Span(min(span.lo for span in spans), max(span.hi for span in spans))

    def _ends(self, view: View) -> Span:
        return self._between(cast("list[Span]", [domain_of(value, view) for value in self.inputs]))

    def _between(self, spans: list[Span]) -> Span:
        """From the lowest that the inputs make to the highest."""
        low, high = [span.lo for span in spans], [span.hi for span in spans]
        for place in self.falls:
            low[place], high[place] = high[place], low[place]
        return Span(float(self.fn(*low)), float(self.fn(*high)))


ADDING: set[Callable[..., Point]] = set()
"""The functions that `adds` was said of."""


def adds(formula: Formula) -> Formula:
    """Say of a formula that its value is the sum of its inputs, less those that it falls with."""
    ADDING.add(formula.fn)
    return formula


def steady(formula: Formula, *inputs: Value, name: str, falls: tuple[int, ...] = ()) -> Steady:
    """Apply a formula that grows with each input, or falls with those at the places `falls` (from 0)."""
    return Steady(
        formula.fn,
        inputs,
        name=name,
        dimension=formula.dimension,
        formula=formula.formula,
        source=formula.source,
        falls=falls,
    )
