"""What a fact may still be: a range of numbers, or a set of words."""

from __future__ import annotations

import math

from ringout.record import record


@record()
class Span:
    """A closed range from lo to hi, in the inside unit of its dimension.

    An open end is infinite ("at least 4 m" is 4 to inf). Raises ValueError if lo is above hi
    or either end is not a number.
    """

    lo: float
    hi: float

    def __post_init__(self) -> None:
        if self.lo <= self.hi:  # never so of what is no number
            return
        if math.isnan(self.lo) or math.isnan(self.hi):
            raise ValueError(f"a range needs two numbers, not {self.lo} and {self.hi}")
        raise ValueError(f"a range needs its smaller end first, not {self.lo} and {self.hi}")

    @property
    def exact(self) -> bool:
        """True when only one value is left."""
        return self.lo == self.hi

    def contains(self, x: float) -> bool:
        """True when x lies in the range, ends included."""
        return self.lo <= x <= self.hi

    def meet(self, other: Span) -> Span | None:
        """The part both ranges share, or None when they contradict each other."""
        lo, hi = max(self.lo, other.lo), min(self.hi, other.hi)
        return Span(lo, hi) if lo <= hi else None


@record()
class Choice:
    """One of a set of words, such as a battery's chemistry. Raises ValueError if the set is empty."""

    options: frozenset[str]

    def __post_init__(self) -> None:
        if not self.options:
            raise ValueError("a choice needs at least one option")

    @property
    def exact(self) -> bool:
        """True when only one option is left."""
        return len(self.options) == 1

    @property
    def only(self) -> str:
        """The one option left. Raises ValueError while several are open."""
        if not self.exact:
            raise ValueError(f"still open between {', '.join(sorted(self.options))}")
        return next(iter(self.options))


Domain = Span | Choice
