"""The stages of one case: as it was found, and as it stands after the changes dated in it."""

from __future__ import annotations

from collections.abc import Iterator

from ringout.case.case import Case
from ringout.case.frame import Changed
from ringout.plan.operations import (
    AddLine,
    AddPart,
    MoveFeed,
    Operation,
    RemovePart,
    RemoveRun,
    Set,
    apply,
)
from ringout.plan.written import Unfit
from ringout.text.document import Document
from ringout.text.problem import Problem, Unusable, dotted

AS_LEFT = "as left"


def as_left(case: Case) -> Case:
    """The case after its `changed` entries, one after the other, each told in terms of the one before.

    Raises Unfit where nothing was changed, Unusable at the entry that the case as it then stood cannot take.
    """
    left, written = case, case.document
    for number, changed in enumerate(case.frame.changed):
        for operations in _steps(left, changed):
            try:
                left = apply(left, operations)
            except (Unfit, Unusable) as fault:
                raise Unusable([_problem(written, number, fault)]) from None
    if left is case:
        raise Unfit("nothing is set, moved, added or removed under 'changed'")
    return apply(left, [], AS_LEFT)


def _steps(case: Case, changed: Changed) -> Iterator[list[Operation]]:
    """What an entry does, in two steps: what is set may be a field of what was added."""
    shape: list[Operation] = [
        RemoveRun(name) if name in case.hops else RemovePart(name) for name in changed.remove
    ]
    shape += [MoveFeed(consumer, to) for consumer, to in changed.move.items()]
    shape += [AddPart(name, fields) for name, fields in changed.add.parts.items()]
    shape += [AddLine("dc", line) for line in changed.add.dc]
    shape += [AddLine("ac", line) for line in changed.add.ac]
    if shape:
        yield shape
    if changed.set:
        yield [Set(changed.set)]


def _problem(written: Document, number: int, fault: Unfit | Unusable) -> Problem:
    """What an entry does wrong, at the entry: the lines of a text that nobody wrote would help nobody."""
    loc = ("changed", number)
    first = fault.problems[0] if isinstance(fault, Unusable) else None
    found = f"at {first.path} {first.found} instead of {first.expected}" if first else str(fault)
    hint = first.hint if first else ""
    return Problem(written.spot(loc), dotted(loc), "a change that fits the case as it then stood", found, hint)
