"""A resistive network solved at a point, and over ranges: what a branch carries, what is lost between two nodes.

Batteries of one bank are taken at equal voltage, so for what they *share* they are plain resistances, and the
voltage lost at a load is what the currents drawn lose in the network (superposition).

Each result is linear in every current and a ratio of two straight lines in every resistance, so each of them
moves it one way only, the others held. Which way, for all of them at once, tells the adjoint of one solve. That
leads to the corner at which the result is extreme; there the ways are looked at again.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import WORLDS, Point, Traced, Value, View, domain_of, leaves_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

TURNS = 8
"""Most corners looked at on the way to an extreme; the second is nearly always the last."""


@dataclass(frozen=True, slots=True)
class Mesh:
    """Nodes 0..n-1 (0 is the reference) and branches (a, b); their resistances are given with each solve."""

    nodes: int
    branches: tuple[tuple[int, int], ...]


@lru_cache(maxsize=64)
def _inverse(mesh: Mesh, resistances_ohm: tuple[float, ...]) -> NDArray[np.float64]:
    """Volts of every node for a unit of current into every other; the reference is bordered with noughts."""
    import numpy as np

    matrix = np.zeros((mesh.nodes, mesh.nodes))
    for (a, b), resistance in zip(mesh.branches, resistances_ohm, strict=True):
        conductance = 1.0 / resistance
        matrix[a, a] += conductance
        matrix[b, b] += conductance
        matrix[a, b] -= conductance
        matrix[b, a] -= conductance
    found = np.zeros((mesh.nodes, mesh.nodes))
    found[1:, 1:] = np.linalg.inv(matrix[1:, 1:])
    return found


def _potentials(
    mesh: Mesh, resistances_ohm: Sequence[float], draws: Sequence[tuple[int, int, float]]
) -> NDArray[np.float64]:
    import numpy as np

    currents = np.zeros(mesh.nodes)
    for plus, minus, amps in draws:
        currents[plus] -= amps
        currents[minus] += amps
    found: NDArray[np.float64] = _inverse(mesh, tuple(resistances_ohm)) @ currents
    return found


def branch_share(mesh: Mesh, resistances_ohm: Sequence[float], draw: tuple[int, int], branch: int) -> float:
    """The part of a current drawn between two nodes (plus, minus) that flows through a branch from a to b.

    Resistances in ohm, all above zero; the mesh must be in one piece.
    """
    return branch_current(mesh, resistances_ohm, ((*draw, 1.0),), branch)


def branch_current(
    mesh: Mesh, resistances_ohm: Sequence[float], draws: Sequence[tuple[int, int, float]], branch: int
) -> float:
    """Current (A) through a branch from a to b when currents (A) are drawn between pairs of nodes."""
    potentials = _potentials(mesh, resistances_ohm, draws)
    a, b = mesh.branches[branch]
    return float((potentials[a] - potentials[b]) / resistances_ohm[branch])


def lost_volts(
    mesh: Mesh, resistances_ohm: Sequence[float], draws: Sequence[tuple[int, int, float]], at: tuple[int, int]
) -> float:
    """Voltage (V) lost between two nodes (plus, minus) by the currents (A) drawn."""
    potentials = _potentials(mesh, resistances_ohm, draws)
    plus, minus = at
    return float(potentials[minus] - potentials[plus])


class Solved(Traced):
    """What a mesh gives for currents drawn and resistances that are known within ranges.

    `amps` are drawn between the pairs of nodes in `ends`. The result is the current through `branch`, or, where
    that is None, the volts lost between the nodes `at` (plus, minus). With `either_way` its sign is left out.
    """

    def __init__(
        self,
        mesh: Mesh,
        resistances: tuple[Value, ...],
        draws: Sequence[tuple[int, int, Value]],
        *,
        name: str,
        formula: str,
        dimension: str,
        at: tuple[int, int] = (0, 0),
        branch: int | None = None,
        either_way: bool = False,
    ) -> None:
        self.mesh, self.at_nodes, self.branch, self.either_way = mesh, at, branch, either_way
        self.ends = [(plus, minus) for plus, minus, _ in draws]
        inputs = (*(amps for _, _, amps in draws), *resistances)
        super().__init__(
            self._shown, inputs, name=name, formula=formula, dimension=dimension, source="Kirchhoff's laws"
        )

    def _shown(self, *values: Point) -> float:
        found = self._solve(*values)
        return abs(found) if self.either_way else found

    def _solve(self, *values: Point) -> float:
        amps, ohms = self._parted(values)
        draws = [(plus, minus, amp) for (plus, minus), amp in zip(self.ends, amps, strict=True)]
        if self.branch is not None:
            return branch_current(self.mesh, ohms, draws, self.branch)
        return lost_volts(self.mesh, ohms, draws, self.at_nodes)

    def _parted(self, values: Sequence[Point]) -> tuple[list[float], list[float]]:
        numbers = [float(each) for each in values]
        return numbers[: len(self.ends)], numbers[len(self.ends) :]

    def _slopes(self, values: Sequence[float]) -> list[float]:
        """How the result moves with each input: the currents first, then the resistances."""
        amps, ohms = self._parted(values)
        draws = [(plus, minus, amp) for (plus, minus), amp in zip(self.ends, amps, strict=True)]
        volts = _potentials(self.mesh, ohms, draws)
        plus, minus = self.at_nodes if self.branch is None else reversed(self.mesh.branches[self.branch])
        scale = 1.0 if self.branch is None else 1.0 / ohms[self.branch]
        # The adjoint: the volts there would be if the current were drawn where the result is read.
        mirror = _potentials(self.mesh, ohms, [(plus, minus, scale)])
        found = [float(mirror[m] - mirror[p]) for p, m in self.ends]
        for (a, b), ohm in zip(self.mesh.branches, ohms, strict=True):
            found.append(float((volts[a] - volts[b]) * (mirror[a] - mirror[b])) / ohm**2)
        if self.branch is not None:
            a, b = self.mesh.branches[self.branch]
            found[len(self.ends) + self.branch] -= float(volts[a] - volts[b]) * scale**2
        return found

    # -- over ranges -----------------------------------------------------------------------------------------

    def _spread(self, view: View) -> Domain:
        domains = {leaf.path: domain_of(leaf, view) for leaf in self.leaves}
        words = {path: sorted(each.options) for path, each in domains.items() if isinstance(each, Choice)}
        if math.prod(len(options) for options in words.values()) > WORLDS:
            # Too many to walk through: each current and resistance by itself, a range no narrower than the true.
            loose = [Leaf(str(place), domain_of(each, view)) for place, each in enumerate(self.inputs)]
            return self._sized([self._extremes(loose, {leaf.path: leaf.domain for leaf in loose})])
        spans = []
        for chosen in itertools.product(*words.values()):
            world = {path: Choice(frozenset({word})) for path, word in zip(words, chosen, strict=True)}
            spans.append(self._extremes(self.inputs, {**domains, **world}))
        return self._sized(spans)

    def _sized(self, spans: Sequence[Span]) -> Span:
        low, high = min(span.lo for span in spans), max(span.hi for span in spans)
        if not self.either_way or low >= 0:
            return Span(low, high)
        return Span(max(-high, 0.0), max(-low, high))

    def _extremes(self, inputs: Sequence[Value], domains: Mapping[str, Domain]) -> Span:
        spans = {path: each for path, each in domains.items() if isinstance(each, Span) and not each.exact}
        middle = {path: (each.lo + each.hi) / 2 for path, each in spans.items()}
        settled: dict[str, Point] = {
            path: each.only if isinstance(each, Choice) else each.lo
            for path, each in domains.items()
            if path not in spans
        }
        moves = [_moves(value, {**settled, **middle}, spans) for value in inputs]
        found = []
        for sign in (-1.0, 1.0):
            point: dict[str, Point] = {**settled, **middle}
            best, seen = -math.inf, set()
            for _ in range(TURNS):
                slopes = self._slopes([_at(value, point) for value in inputs])
                up = _upward(spans, moves, slopes, sign)
                if up in seen:
                    break
                seen.add(up)
                corner = {path: each.hi if path in up else each.lo for path, each in spans.items()}
                point = {**settled, **corner}
                best = max(best, sign * self._solve(*(_at(value, point) for value in inputs)))
            found.append(sign * best)
        return Span(*found)


def _at(value: Value, point: Mapping[str, Point]) -> float:
    return float(point[value.path] if isinstance(value, Leaf) else value.program.run(point)[-1])


def _moves(value: Value, point: Mapping[str, Point], spans: Mapping[str, Span]) -> dict[str, float]:
    """How far each open leaf moves a value on its way from low to high, the others at `point`."""
    if isinstance(value, Leaf):
        return {value.path: spans[value.path].hi - spans[value.path].lo} if value.path in spans else {}
    start, found = value.program.run(point), {}
    for leaf in leaves_of(value):
        if leaf.path in spans:
            ends = (spans[leaf.path].lo, spans[leaf.path].hi)
            low, high = (float(value.program.change(start, leaf.path, end)[-1]) for end in ends)
            found[leaf.path] = high - low
    return found


def _upward(
    spans: Mapping[str, Span], moves: Sequence[Mapping[str, float]], slopes: Sequence[float], sign: float
) -> frozenset[str]:
    """The leaves that stand at their high end at the corner where the result is largest (smallest: -1)."""
    pull = dict.fromkeys(spans, 0.0)
    for each, slope in zip(moves, slopes, strict=True):
        for path, move in each.items():
            pull[path] += slope * move
    return frozenset(path for path, total in pull.items() if sign * total > 0)
