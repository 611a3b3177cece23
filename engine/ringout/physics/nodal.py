"""A resistive network solved at a point, and over ranges: what a branch carries, what is lost between two nodes.

Batteries of one bank are taken at equal voltage, so for what they *share* they are plain resistances, and the
voltage lost at a load is what the currents drawn lose in the network (superposition).

Over ranges, too, the currents are taken one by one: each result is the sum of the currents, each times what one
ampere of it does. That is a ratio of two straight lines in every resistance, so each resistance moves it one way
only, the others held; which way, for all of them at once, tells the adjoint of one solve. It leads to the corner
at which the result is extreme; there the ways are looked at again, and other corners are started from as well.
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


Memo = dict[tuple[object, ...], Span]
NONE = frozenset[str]()


class Solved(Traced):
    """What a mesh gives for currents drawn and resistances that are known within ranges.

    `draws` are pairs of nodes (plus, minus) with the current between them. The result is the current through
    `branch`, or, where that is None, the volts lost between the nodes `at` (plus, minus). With `either_way` its
    sign is left out. `memo` holds what one ampere does, for all results of one mesh.
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
        memo: Memo,
        at: tuple[int, int] = (0, 0),
        branch: int | None = None,
        either_way: bool = False,
    ) -> None:
        self.mesh, self.resistances, self.draws, self.memo = mesh, resistances, draws, memo
        self.ends, self.branch, self.either_way = at, branch, either_way
        inputs = (*(amps for _, _, amps in draws), *resistances)
        super().__init__(
            self._shown, inputs, name=name, formula=formula, dimension=dimension, source="Kirchhoff's laws"
        )

    def _shown(self, *values: Point) -> float:
        numbers, count = [float(each) for each in values], len(self.draws)
        drawn = [(plus, minus, amps) for (plus, minus, _), amps in zip(self.draws, numbers, strict=False)]
        found = self._solve(numbers[count:], drawn)
        return abs(found) if self.either_way else found

    def _solve(self, ohms: Sequence[float], drawn: Sequence[tuple[int, int, float]]) -> float:
        if self.branch is not None:
            return branch_current(self.mesh, ohms, drawn, self.branch)
        return lost_volts(self.mesh, ohms, drawn, self.ends)

    def _slopes(self, ohms: Sequence[float], draw: tuple[int, int]) -> list[float]:
        """How what one ampere does moves with each resistance."""
        volts = _potentials(self.mesh, ohms, [(*draw, 1.0)])
        # The adjoint: the volts there would be if the current were drawn where the result is read.
        plus, minus = self.ends if self.branch is None else reversed(self.mesh.branches[self.branch])
        scale = 1.0 if self.branch is None else 1.0 / ohms[self.branch]
        mirror = _potentials(self.mesh, ohms, [(plus, minus, scale)])
        found = []
        for (a, b), ohm in zip(self.mesh.branches, ohms, strict=True):
            found.append(float((volts[a] - volts[b]) * (mirror[a] - mirror[b])) / ohm**2)
        if self.branch is not None:
            a, b = self.mesh.branches[self.branch]
            found[self.branch] -= float(volts[a] - volts[b]) * scale**2
        return found

    # -- over ranges -----------------------------------------------------------------------------------------

    def _spread(self, view: View) -> Domain:
        words = {
            leaf.path: sorted(domain.options)
            for leaf in self.leaves
            if isinstance(domain := domain_of(leaf, view), Choice) and not domain.exact
        }
        spans = []
        if math.prod(len(options) for options in words.values()) > WORLDS:
            # Too many to walk through: each by itself over all its words, a range no narrower than the true one.
            spans.append(self._summed(view))
        else:
            for chosen in itertools.product(*words.values()):
                world = {path: Choice(frozenset({word})) for path, word in zip(words, chosen, strict=True)}
                spans.append(self._summed({**view, **world}))
        low, high = min(span.lo for span in spans), max(span.hi for span in spans)
        if not self.either_way or low >= 0:
            return Span(low, high)
        return Span(max(-high, 0.0), max(-low, high))

    def _summed(self, view: View) -> Span:
        """The currents drawn, each times what one ampere of it does, added up."""
        low = high = 0.0
        for plus, minus, value in self.draws:
            one, amps = self._of_one_ampere((plus, minus), view), domain_of(value, view)
            assert isinstance(amps, Span)
            corners = [a * b for a in (amps.lo, amps.hi) for b in (one.lo, one.hi)]
            low, high = low + min(corners), high + max(corners)
        return Span(low, high)

    def _of_one_ampere(self, draw: tuple[int, int], view: View) -> Span:
        leaves = {leaf.path: leaf for value in self.resistances for leaf in leaves_of(value)}
        seen = tuple((path, view[path]) for path in sorted(leaves) if path in view)
        key = (self.ends, self.branch, draw, seen)
        if key not in self.memo:
            domains = {path: domain_of(leaf, view) for path, leaf in leaves.items()}
            if all(isinstance(each, Span) or each.exact for each in domains.values()):
                self.memo[key] = self._extremes(self.resistances, domains, draw)
            else:
                loose = [Leaf(str(n), domain_of(each, view)) for n, each in enumerate(self.resistances)]
                self.memo[key] = self._extremes(loose, {each.path: each.domain for each in loose}, draw)
        return self.memo[key]

    def _extremes(
        self, resistances: Sequence[Value], domains: Mapping[str, Domain], draw: tuple[int, int]
    ) -> Span:
        spans = {path: each for path, each in domains.items() if isinstance(each, Span) and not each.exact}
        settled: dict[str, Point] = {
            path: each.only if isinstance(each, Choice) else each.lo
            for path, each in domains.items()
            if path not in spans
        }
        corners = _Corners(resistances, spans, settled)
        found: dict[frozenset[str], float] = {}

        def at(up: frozenset[str]) -> float:
            if up not in found:
                found[up] = self._solve(corners.ohms(up), [(*draw, 1.0)])
            return found[up]

        for sign, start in itertools.product((-1.0, 1.0), (corners.middle, corners.ohms(NONE))):
            ohms, up, seen = start, NONE, set[frozenset[str]]()
            while up not in seen and len(seen) < TURNS:
                seen.add(up)
                up = corners.upward(self._slopes(ohms, draw), sign)
                ohms = corners.ohms(up)
            best = max((up, *seen), key=lambda each: sign * at(each))
            # A leaf that moves several resistances may turn on its way from end to end: both ends are tried.
            better = True
            while better:
                tried = max((best ^ {path} for path in corners.shared), key=lambda up: sign * at(up), default=best)
                better = sign * at(tried) > sign * at(best)
                best = tried if better else best
        return Span(min(found.values()), max(found.values()))


class _Corners:
    """Resistances at corners of the leaves beneath; a corner is named by the leaves at their high end."""

    def __init__(
        self, values: Sequence[Value], spans: Mapping[str, Span], settled: Mapping[str, Point]
    ) -> None:
        self.values, self.spans, self.settled = values, spans, settled
        own = [frozenset(leaf.path for leaf in leaves_of(value)) & spans.keys() for value in values]
        self.own = own
        self.shared = [path for path in spans if sum(path in each for each in own) > 1]
        self._known: list[dict[frozenset[str], float]] = [{} for _ in values]
        middle: dict[str, Point] = {path: (span.lo + span.hi) / 2 for path, span in spans.items()}
        self.middle = [_at(value, {**settled, **middle}) for value in values]
        self.moves = [
            {path: self._end(place, middle, path, high=True) - self._end(place, middle, path, high=False) for path in its}
            for place, its in enumerate(own)
        ]

    def _end(self, place: int, middle: Mapping[str, Point], path: str, *, high: bool) -> float:
        span = self.spans[path]
        return _at(self.values[place], {**self.settled, **middle, path: span.hi if high else span.lo})

    def ohms(self, up: frozenset[str]) -> list[float]:
        """All resistances at a corner."""
        return [self._ohm(place, up & own) for place, own in enumerate(self.own)]

    def _ohm(self, place: int, up: frozenset[str]) -> float:
        known = self._known[place]
        if up not in known:
            ends = {path: self.spans[path].hi if path in up else self.spans[path].lo for path in self.own[place]}
            known[up] = _at(self.values[place], {**self.settled, **ends})
        return known[up]

    def upward(self, slopes: Sequence[float], sign: float) -> frozenset[str]:
        """The corner to which the slopes of a result lead, upward, or downward where `sign` is -1."""
        pull = dict.fromkeys(self.spans, 0.0)
        for moves, slope in zip(self.moves, slopes, strict=True):
            for path, move in moves.items():
                pull[path] += slope * move
        return frozenset(path for path, total in pull.items() if sign * total > 0)


def _at(value: Value, point: Mapping[str, Point]) -> float:
    return float(point[value.path] if isinstance(value, Leaf) else value.program.run(point)[-1])
