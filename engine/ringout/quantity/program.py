"""A traced value laid out flat: leaves first, then every function once, its inputs always before it.

Evaluating a chain of functions at many corners differs from corner to corner in one leaf only. Laid out flat,
a changed leaf costs just the functions that stand above it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from ringout.quantity.leaf import Leaf

if TYPE_CHECKING:
    from ringout.quantity.traced import Point, Traced, Value


class Program:
    """The functions of one traced value over the leaves beneath it. The last slot holds the value itself."""

    def __init__(self, value: Traced) -> None:
        self.slot = {leaf.path: number for number, leaf in enumerate(value.leaves)}
        self._steps: list[tuple[Callable[..., Point], tuple[int, ...]]] = []
        self._lay(value, {})
        first = len(self.slot)
        above: dict[int, list[int]] = {number: [] for number in range(first + len(self._steps))}
        beneath: list[set[int]] = [{number} for number in range(first)]
        for step, (_, inputs) in enumerate(self._steps):
            leaves = set().union(*(beneath[each] for each in inputs))
            beneath.append(leaves)
            for leaf in leaves:
                above[leaf].append(step)
        self._above = [above[number] for number in range(first)]

    def _lay(self, value: Traced, placed: dict[int, int]) -> int:
        if id(value) in placed:
            return placed[id(value)]
        inputs = tuple(self._input(each, placed) for each in value.inputs)
        self._steps.append((value.fn, inputs))
        placed[id(value)] = len(self.slot) + len(self._steps) - 1
        return placed[id(value)]

    def _input(self, value: Value, placed: dict[int, int]) -> int:
        return self.slot[value.path] if isinstance(value, Leaf) else self._lay(value, placed)

    def run(self, point: Mapping[str, Point]) -> list[Point]:
        """All slots at a point that gives every leaf."""
        values: list[Point] = [point[path] for path in self.slot]
        for fn, inputs in self._steps:
            values.append(fn(*[values[each] for each in inputs]))
        return values

    def change(self, values: Sequence[Point], path: str, new: Point) -> list[Point]:
        """All slots after one leaf changed."""
        number, first = self.slot[path], len(self.slot)
        changed = list(values)
        changed[number] = new
        for step in self._above[number]:
            fn, inputs = self._steps[step]
            changed[first + step] = fn(*[changed[each] for each in inputs])
        return changed
