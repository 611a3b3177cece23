"""How cold it gets, as far as what is said of it agrees."""

from __future__ import annotations

from dataclasses import replace

from ringout.case.case import Case
from ringout.case.statement import unstated
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Span

FREEZING = 0.0
TOLD = frozenset({Origin.SAID, Origin.ASSUMED, Origin.SUPPOSED})


def coldest(case: Case) -> Leaf:
    """The lowest temperature (C) where it stands. Told as no frost by those who say they use it in frost: open.

    A thermometer's figure stands; the owner's two words against each other settle nothing.
    """
    lowest = case.surroundings.leaf("lowest")
    domain = lowest.domain
    assert isinstance(domain, Span)
    if not lowest.known or lowest.origin not in TOLD or domain.lo < FREEZING:
        return lowest
    if case.habits.word("used_below_freezing") != "yes":
        return lowest
    wide = unstated(lowest.path, case.surroundings.form.fields["lowest"], spot=lowest.spot)
    return replace(wide, hint=domain, note="told as no frost, and told as used in frost")
