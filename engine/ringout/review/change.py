"""Where along the values of one number an answer changes.

What is compared is followed as numbers: where the ends of two ranges pass each other, the answer may change, and two
looks show whether it does. Where it changes for another reason, halving finds the place with one look at each step.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Span
from ringout.quantity.traced import Value, View, domain_of

HALVINGS = 60
NEAR = 1e-4
"""Two values closer than this part of themselves are one."""
SURE = 1e-5
"""A place is found when it is known to this part of itself."""
STEPS = 40
"""Most steps towards a place."""

Compared = tuple[Value, Value]
"""The two sides of a comparison of numbers."""


def change(
    holds: Callable[[float], bool], inside: float, outside: float, whole: bool, places: Iterable[float] = ()
) -> tuple[float, float] | None:
    """Two neighbours, the first still as `inside`, which holds, the second no longer; None where nothing changes.

    `places` are those, from inside outwards, at which it may change. Between two of them it is taken to be the same
    where it is the same at both.
    """
    for place in places:
        near, far = _halved(_short_of(place, inside), inside, outside, whole)
        if not holds(near):
            outside = near
            break
        if not holds(far):
            return near, far
    return None if holds(outside) else _halved(holds, inside, outside, whole)


def _halved(holds: Callable[[float], bool], inside: float, outside: float, whole: bool) -> tuple[float, float]:
    for _ in range(HALVINGS):
        middle = (inside + outside) / 2
        if whole:
            middle = float(math.floor(middle) if outside > inside else math.ceil(middle))
            if middle == inside:
                break
        elif abs(outside - inside) <= NEAR * abs(middle):
            break
        if holds(middle):
            inside = middle
        else:
            outside = middle
    return inside, outside


def _short_of(place: float, start: float) -> Callable[[float], bool]:
    """Whether a value lies nearer to a start than a place does."""
    return lambda x: abs(x - start) < abs(place - start)


def passed(compared: Iterable[Compared], leaf: Leaf, view: View, inside: float, outside: float) -> list[float]:
    """Where the ends of what is compared pass each other as a leaf goes from `inside` to `outside`, nearest first."""
    found = []
    for left, right in compared:
        apart = _Apart(left, right, leaf.path, view)
        for end in (0, 1):
            here, there = apart.at(inside)[end], apart.at(outside)[end]
            if math.isfinite(here) and math.isfinite(there) and (here > 0) != (there > 0):
                found.append(zero(apart.of(end), inside, outside))
    return sorted(found, key=lambda x: abs(x - inside))


class _Apart:
    """How far two values compared are apart, at the least and at the most, over the values of one leaf beneath."""

    def __init__(self, left: Value, right: Value, path: str, view: View) -> None:
        self.left, self.right, self.path, self.view = left, right, path, view
        self._at: dict[float, tuple[float, float]] = {}

    def of(self, end: int) -> Callable[[float], float]:
        """One of the two over the values of the leaf: 0 for the least, 1 for the most."""
        return lambda x: self.at(x)[end]

    def at(self, x: float) -> tuple[float, float]:
        if x not in self._at:
            view = {**self.view, self.path: Span(x, x)}
            a, b = domain_of(self.left, view), domain_of(self.right, view)
            assert isinstance(a, Span) and isinstance(b, Span)
            self._at[x] = a.lo - b.hi, a.hi - b.lo
        return self._at[x]


def zero(f: Callable[[float], float], a: float, b: float) -> float:
    """Where a function passes nought between two values at which its sign differs.

    By inverse quadratic interpolation where that is safe, else by halving: Chandrupatla, Advances in Engineering
    Software 28 (paper, 1997).
    """
    at_a, at_b, part = f(a), f(b), 0.5
    for _ in range(STEPS):
        x = a + part * (b - a)
        at_x = f(x)
        if (at_x > 0) == (at_a > 0):
            c, at_c = a, at_a
        else:
            c, b, at_c, at_b = b, a, at_b, at_a
        a, at_a = x, at_x
        best = a if abs(at_a) < abs(at_b) else b
        least = SURE * abs(best) / abs(b - a)
        if least > 0.5 or not min(abs(at_a), abs(at_b)):
            break
        xi, phi = (a - b) / (c - b), (at_a - at_b) / (at_c - at_b)
        part = 0.5
        if phi**2 < xi and (1 - phi) ** 2 < 1 - xi:
            part = at_a / (at_b - at_a) * at_c / (at_b - at_c)
            part += (c - a) / (b - a) * at_a / (at_c - at_a) * at_b / (at_c - at_b)
        part = min(1 - least, max(least, part))
    return best
