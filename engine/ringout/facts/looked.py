"""What it means that none was found: none is there, where all of its kind were looked for."""

from __future__ import annotations

from collections.abc import Iterable

from ringout.quantity.traced import Point

COMPLETE = frozenset({"all", "none seen"})
"""How a case says that no part of a kind was passed over."""


def none_or(looked: Iterable[Point], told: Point) -> Point:
    """What is said of a thing that nobody drew: no, where every kind it may be of was looked for, else as told."""
    return "no" if COMPLETE.issuperset(looked) else told
