"""The stages of one case: as it was found, and as it stands after the changes dated in it."""

from __future__ import annotations

from typing import Any

from ringout.case.case import Case
from ringout.plan.operations import Set, apply
from ringout.plan.written import Unfit

AS_LEFT = "as left"


def as_left(case: Case) -> Case:
    """The case with all that its `changed` entries set, a later one over an earlier.

    Raises Unfit where nothing was changed, Unusable where the changed case cannot be read.
    """
    values: dict[str, Any] = {}
    for changed in case.frame.changed:
        values |= changed.set
    if not values:
        raise Unfit("nothing is set under 'changed'")
    return apply(case, [Set(values)], AS_LEFT)
