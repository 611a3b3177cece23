"""What a mesh gives over ranges of its currents and resistances.

The currents are taken one by one: each result is the sum of the currents, each times what one ampere of it
does. That is a ratio of two straight lines in every resistance, so each resistance moves it one way only, the
others held; which way, for all of them at once, tells the adjoint of one solve. It leads to the corner at
which the result is extreme; there the ways are looked at again, and another start is made as well.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from functools import cached_property

from ringout.physics.nodal import Mesh, branch_current, lost_volts, slopes
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import WORLDS, Point, Traced, Value, View, domain_of, leaves_of

TURNS = 8
"""Most corners looked at on the way to an extreme; the second is nearly always the last."""
Memo = dict[tuple[object, ...], "Span | _Ohms"]
NONE = frozenset[str]()
LEAST_PULL = 1e-9
"""A pull inward that is no more than rounding."""
GOLDEN, SECTIONS = (math.sqrt(5) - 1) / 2, 30


class Solved(Traced):
    """What a mesh gives for currents drawn and resistances that are known within ranges.

    `draws` are pairs of nodes (plus, minus) with the current between them. The result is the current through
    `branch`, or, where that is None, the volts lost between the nodes `at` (plus, minus). With `either_way`
    its sign is left out. `memo` holds what one ampere does, for all results of one mesh.
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

    # -- over ranges -----------------------------------------------------------------------------------------

    def _spread(self, view: View) -> Domain:
        words = {
            leaf.path: sorted(domain.options)
            for leaf in self.leaves
            if isinstance(domain := domain_of(leaf, view), Choice) and not domain.exact
        }
        spans = []
        if math.prod(len(options) for options in words.values()) > WORLDS:
            # Too many to walk through: each by itself over all its words, a range never too narrow.
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
        seen = tuple((path, view[path]) for path in self._swayed_by if path in view)
        key = (self.ends, self.branch, draw, seen)
        if key not in self.memo:
            self.memo[key] = self._extremes(self._ohms(view), draw)
        found = self.memo[key]
        assert isinstance(found, Span)
        return found

    @cached_property
    def _swayed_by(self) -> list[str]:
        """The paths of the leaves beneath the resistances."""
        return sorted({leaf.path for value in self.resistances for leaf in leaves_of(value)})

    def _ohms(self, view: View) -> list[_Ohms]:
        """The resistances over their ranges, each made once for all results of the mesh that rest on the same."""
        leaves = [leaf for value in self.resistances for leaf in leaves_of(value)]
        if not all(isinstance(each := domain_of(leaf, view), Span) or each.exact for leaf in leaves):
            # Words are open, too many to walk through: each resistance is taken by itself, over its whole range.
            loose = [Leaf(str(n), domain_of(each, view)) for n, each in enumerate(self.resistances)]
            return [_Ohms(each, {each.path: each.domain}) for each in loose]
        found = []
        for value in self.resistances:
            domains = {leaf.path: domain_of(leaf, view) for leaf in leaves_of(value)}
            key = (value, *domains.values())
            if key not in self.memo:
                self.memo[key] = _Ohms(value, domains)
            made = self.memo[key]
            assert isinstance(made, _Ohms)
            found.append(made)
        return found

    def _extremes(self, ohms: Sequence[_Ohms], draw: tuple[int, int]) -> Span:
        search = _Search(ohms, lambda ohms: self._solve(ohms, [(*draw, 1.0)]))
        found = [
            search.extreme(lambda ohms: slopes(self.mesh, ohms, draw, self.ends, self.branch), sign, start)
            for sign, start in itertools.product((-1.0, 1.0), (search.middle, search.ohms(NONE, {})))
        ]
        return Span(min(found), max(found))


class _Ohms:
    """One resistance over the ranges of the leaves beneath, each at its low or high end or within."""

    def __init__(self, value: Value, domains: Mapping[str, Domain]) -> None:
        self.value = value
        self.spans = {path: each for path, each in domains.items() if isinstance(each, Span) and not each.exact}
        self.own = frozenset(self.spans)
        self._settled: dict[str, Point] = {
            path: each.only if isinstance(each, Choice) else each.lo
            for path, each in domains.items()
            if path not in self.spans
        }
        self._known: dict[frozenset[str], float] = {}

    @cached_property
    def middle(self) -> float:
        return self.within(NONE, self._middles)

    @cached_property
    def _middles(self) -> dict[str, float]:
        return {path: (span.lo + span.hi) / 2 for path, span in self.spans.items()}

    @cached_property
    def moves(self) -> dict[str, float]:
        """How far each leaf moves it on its way from low to high, the others at their middle."""
        middle = self._middles
        return {
            path: self._at({**middle, path: span.hi}) - self._at({**middle, path: span.lo})
            for path, span in self.spans.items()
        }

    def at(self, up: frozenset[str]) -> float:
        """The resistance with the leaves `up` at their high end, the others at their low."""
        here = up & self.own
        if here not in self._known:
            self._known[here] = self.within(here, {})
        return self._known[here]

    def within(self, up: frozenset[str], inside: Mapping[str, float]) -> float:
        """The same with some leaves within their range."""
        ends = {path: span.hi if path in up else span.lo for path, span in self.spans.items()}
        return self._at({**ends, **inside})

    def _at(self, open: Mapping[str, float]) -> float:
        point = {**self._settled, **open}
        return float(point[self.value.path] if isinstance(self.value, Leaf) else self.value.program.run(point)[-1])


class _Search:
    """Looks for the extreme of a result over the leaves beneath the resistances.

    A place is named by the leaves `up` at their high end and those `inside` their range; the rest is at its
    low.
    """

    def __init__(self, resistances: Sequence[_Ohms], result: Callable[[Sequence[float]], float]) -> None:
        self.resistances, self.result = resistances, result
        self.spans = {path: span for each in resistances for path, span in each.spans.items()}
        times = Counter(path for each in resistances for path in each.own)
        self.shared = [path for path in self.spans if times[path] > 1]
        self.middle = [each.middle for each in resistances]
        self._results: dict[frozenset[str], float] = {}

    def extreme(self, slopes: Callable[[Sequence[float]], list[float]], sign: float, start: Sequence[float]) -> float:
        """The largest result, or the smallest where `sign` is -1, from the slopes at a start."""
        # In the order seen: of two corners as good the same one is taken every time.
        up, seen, pulls = NONE, dict[frozenset[str], None](), self._pulls(slopes(start))
        for _ in range(TURNS):
            up = frozenset(path for path, pull in pulls.items() if sign * pull > 0)
            if up in seen:
                break
            seen[up] = None
            pulls = self._pulls(slopes(self.ohms(up, {})))
        up = max(seen, key=lambda each: sign * self._corner(each))
        # What moves several resistances may turn on its way from end to end: its other end is tried as well,
        up = self._flipped(up, sign)
        # and where the slope still leads inward from the better end, the extreme lies inside.
        inside: dict[str, float] = {}
        for _ in range(TURNS):
            pulls = self._pulls(slopes(self.ohms(up, inside)))
            inward = {path: sign * (-pull if path in up else pull) for path, pull in pulls.items()}
            leads = [path for path in self.shared if path not in inside and inward[path] > LEAST_PULL]
            if not leads:
                break
            path = max(leads, key=inward.__getitem__)
            inside[path] = self._turning(up, inside, path, sign)
        return max(self._corner(up), self.result(self.ohms(up, inside)), key=lambda each: sign * each)

    def _pulls(self, slopes: Sequence[float]) -> dict[str, float]:
        """How far each leaf would move the result on its way from low to high."""
        pulls = dict.fromkeys(self.spans, 0.0)
        for each, slope in zip(self.resistances, slopes, strict=True):
            for path, move in each.moves.items():
                pulls[path] += slope * move
        return pulls

    def _flipped(self, up: frozenset[str], sign: float) -> frozenset[str]:
        while self.shared:
            tried = max((up ^ {path} for path in self.shared), key=lambda each: sign * self._corner(each))
            if sign * self._corner(tried) <= sign * self._corner(up):
                break
            up = tried
        return up

    def _turning(self, up: frozenset[str], inside: Mapping[str, float], path: str, sign: float) -> float:
        """Where within its range a leaf takes the result furthest: by the golden section."""
        low, high = self.spans[path].lo, self.spans[path].hi
        for _ in range(SECTIONS):
            left, right = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
            results = [self.result(self.ohms(up, {**inside, path: x})) for x in (left, right)]
            low, high = (low, right) if sign * results[0] > sign * results[1] else (left, high)
        return (low + high) / 2

    def _corner(self, up: frozenset[str]) -> float:
        if up not in self._results:
            self._results[up] = self.result(self.ohms(up, {}))
        return self._results[up]

    def ohms(self, up: frozenset[str], inside: Mapping[str, float]) -> list[float]:
        """All resistances at a place."""
        return [
            each.at(up) if each.own.isdisjoint(inside) else each.within(up, inside) for each in self.resistances
        ]
