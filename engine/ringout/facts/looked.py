"""What the drawing says, and what silence means: none is there, where all of its kind were looked for."""

from __future__ import annotations

from collections.abc import Iterable

from ringout.case.case import YES_NO
from ringout.quantity.traced import Point, Traced

COMPLETE = frozenset({"all", "none seen"})
"""How a case says that no part of a kind was passed over."""
DRAWN = "the wiring as written"


def none_or(looked: Iterable[Point], told: Point) -> Point:
    """What is said of a thing that nobody drew: no, where every kind it may be of was looked for, else as told."""
    return "no" if COMPLETE.issuperset(looked) else told


def as_drawn(name: str, word: str) -> Traced:
    """A word that the wiring as written settles."""
    return Traced(lambda: word, (), name=name, formula="as drawn", source=DRAWN, widest=YES_NO)
