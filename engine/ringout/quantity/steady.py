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
from collections.abc import Callable
from typing import cast

from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import (
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

    __slots__ = ("_middles", "_moved", "falls")

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
        self._moved: dict[str, list[Point]] | None = None

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

    def moved(self, leaf: Leaf) -> list[Point]:
        """The value with one leaf beneath at each of its ends (or words), the others at their middle.

        What many values are made of (a shared feeder) is moved once for all of them.
        """
        if self._moved is None:
            self._moved = {}
        found = self._moved.get(leaf.path)
        if found is None:
            found = self._moved[leaf.path] = self._at_ends(leaf)
        return found

    def _at_ends(self, leaf: Leaf) -> list[Point]:
        path, fn, columns = leaf.path, self.fn, []
        for each, middle in zip(self.inputs, self._inputs_and_it(), strict=False):
            if isinstance(each, Leaf):
                columns.append(ends_of(leaf.domain) if each.path == path else itertools.repeat(middle))
            else:
                columns.append(each.moved(leaf) if path in each.paths else itertools.repeat(middle))
        return [fn(*values) for values in zip(*columns, strict=False)]

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
        spans = cast("list[Span]", [domain_of(value, view) for value in self.inputs])
        low, high = [span.lo for span in spans], [span.hi for span in spans]
        for place in self.falls:
            low[place], high[place] = high[place], low[place]
        return Span(float(self.fn(*low)), float(self.fn(*high)))


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
