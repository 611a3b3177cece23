"""Every number computed anew: its formulas are called at points of the leaves beneath it.

A value is walked by its inputs, whatever the program's own evaluation does. Points: both ends of every leaf
alone, all corners where few leaves are open, the corners that one-at-a-time moves point to, and points drawn within.
"""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterable, Mapping
from typing import Any

Point = Mapping[str, Any]
CORNERS = 6
"""Up to this many open leaves all corners are tried."""
WORLDS = 64
"""Most combinations of open words tried one by one; beyond it they are drawn."""
INSIDE = 12
"""Points drawn within the ranges, a value."""
FAR = 1e6
"""An endless end is sampled up to here."""


def is_leaf(value: Any) -> bool:
    return not hasattr(value, "inputs")


def beneath(value: Any, found: dict[str, Any] | None = None, seen: set[int] | None = None) -> dict[str, Any]:
    """The leaves beneath a value by path. Two leaves of one path that differ are an AssertionError."""
    found = {} if found is None else found
    seen = set() if seen is None else seen
    if id(value) in seen:
        return found
    seen.add(id(value))
    if is_leaf(value):
        other = found.setdefault(value.path, value)
        assert other.domain == value.domain, f"two leaves share {value.path}"
    else:
        for each in value.inputs:
            beneath(each, found, seen)
    return found


def run(value: Any, point: Point, done: dict[int, Any] | None = None) -> Any:
    """A value at a point that gives every leaf; `done` shares what several values are made of."""
    done = {} if done is None else done
    if is_leaf(value):
        return point[value.path]
    if id(value) not in done:
        done[id(value)] = value.fn(*[run(each, point, done) for each in value.inputs])
    return done[id(value)]


def ends(domain: Any) -> list[Any]:
    """The words of a choice, or the ends of a range."""
    if hasattr(domain, "options"):
        return sorted(domain.options)
    lo, hi = max(domain.lo, -FAR), min(domain.hi, FAR)
    return [lo] if lo == hi else [lo, hi]


def draw(domain: Any, by: random.Random, corner: float = 0.3) -> Any:
    """One point of a domain: an end now and then, else within; wide ranges by their size as often as evenly."""
    some = ends(domain)
    if hasattr(domain, "options") or len(some) == 1 or by.random() < corner:
        return by.choice(some)
    if some[0] > 0 and some[1] / some[0] > 10 and by.random() < 0.5:
        return min(max(math.exp(by.uniform(math.log(some[0]), math.log(some[1]))), some[0]), some[1])
    return by.uniform(*some)


def draw_all(leaves: Iterable[Any], by: random.Random) -> dict[str, Any]:
    """One point of every leaf; a leaf that several values rest on is drawn once."""
    return {leaf.path: draw(leaf.domain, by) for leaf in leaves}


def worlds(leaves: Mapping[str, Any], by: random.Random) -> list[dict[str, str]]:
    """All combinations of open words, or some of them where there are too many."""
    words = {path: ends(leaf.domain) for path, leaf in leaves.items() if hasattr(leaf.domain, "options")}
    if math.prod(len(each) for each in words.values()) <= WORLDS:
        return [dict(zip(words, chosen, strict=True)) for chosen in itertools.product(*words.values())]
    return [{path: by.choice(options) for path, options in words.items()} for _ in range(WORLDS)]


def few(value: Any) -> bool:
    """Whether all corners of a value are tried, in all worlds of its words."""
    open_leaves = [leaf.domain for leaf in beneath(value).values() if not leaf.domain.exact]
    words = [len(domain.options) for domain in open_leaves if hasattr(domain, "options")]
    return math.prod(words) <= WORLDS and len(open_leaves) - len(words) <= CORNERS


def points(values: Iterable[Any], by: random.Random, inside: int = INSIDE) -> list[dict[str, Any]]:
    """Points at which to try values that belong together: corners, the moves of one leaf, and points within."""
    values = list(values)
    leaves: dict[str, Any] = {}
    for value in values:
        beneath(value, leaves)
    spans = {p: ends(leaf.domain) for p, leaf in leaves.items() if not hasattr(leaf.domain, "options")}
    wide = {path: both for path, both in spans.items() if len(both) > 1}
    base = {path: both[0] for path, both in spans.items()}
    made: list[dict[str, Any]] = []
    for world in worlds(leaves, by):
        start = {**base, **world}
        if len(wide) <= CORNERS:
            made += [start | dict(zip(wide, chosen, strict=True)) for chosen in itertools.product(*wide.values())]
            continue
        for value in values:
            made += _pointed(value, start, wide)
    for _ in range(inside):
        made.append(draw_all(leaves.values(), by))
    return made


def _pointed(value: Any, start: dict[str, Any], wide: Mapping[str, list[float]]) -> list[dict[str, Any]]:
    """The corners that lift and lower a value, as moving one leaf at a time from the middle shows."""
    middle = start | {path: (both[0] + both[1]) / 2 for path, both in wide.items()}
    if isinstance(run(value, middle), str):
        return [middle]
    high, low = dict(start), dict(start)
    for path, both in wide.items():
        down, up = (run(value, middle | {path: end}) for end in both)
        rises = up >= down
        high[path], low[path] = (both[1], both[0]) if rises else (both[0], both[1])
    return [low, high, middle]


def strayed(value: Any, domain: Any, tried: Iterable[Point]) -> str:
    """Says where a value leaves the domain claimed for it, empty where it never does."""
    for point in tried:
        found = run(value, point)
        if isinstance(found, str):
            if found not in domain.options:
                return f"{value.name} is {found}, outside {sorted(domain.options)}"
        else:
            slack = 1e-9 * max(abs(found), abs(domain.lo) if math.isfinite(domain.lo) else 0, 1e-9)
            if math.isnan(found) or not domain.lo - slack <= found <= domain.hi + slack:
                return f"{value.name} is {found!r}, outside {domain.lo!r}..{domain.hi!r}"
    return ""


def hull(value: Any, tried: Iterable[Point]) -> tuple[float, float] | frozenset[str]:
    """The widest that a value was at the points tried: a range, or the words."""
    found = [run(value, point) for point in tried]
    return frozenset(found) if isinstance(found[0], str) else (min(found), max(found))
