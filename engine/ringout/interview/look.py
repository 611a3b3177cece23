"""What the interview takes from a review: the facts it still needs, and what is settled by now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ringout.inference.chain import Verdict
from ringout.interview.questions import Need
from ringout.review.review import Review
from ringout.review.words import part_name


@dataclass(frozen=True, slots=True)
class Look:
    """One look at a case: its `needs` in order, its first `screen`, and its `faults` by title.

    A fault is true where it was found, false where it was found not to be so, None where that is not known.
    """

    needs: Sequence[Need] = ()
    faults: Mapping[str, bool | None] = field(default_factory=dict)
    screen: str = ""


_SO = {Verdict.WRONG: True, Verdict.RIGHT: False, Verdict.NOT_KNOWN: None}


def look(review: Review, screen: str = "") -> Look:
    """The look that a review gives; `screen` is the first screen as a person reads it."""
    faults = {}
    for said in review.chained.said:
        if said.rule.finding is not None and said.verdict in _SO:
            about = part_name(review.case, next(iter(said.anchor.keys.values())))
            faults[f"{said.rule.title} ({about})"] = _SO[said.verdict]
    return Look(review.needs, faults, screen)


def news(before: Look, after: Look) -> list[str]:
    """What an answer changed, a line each: now wrong, open before and not so, open again."""
    lines = []
    for title, so in after.faults.items():
        was = before.faults.get(title)
        if so and not was:
            lines.append(f"Settled: wrong: {title}.")
        elif so is False and was is None and title in before.faults:
            lines.append(f"Settled: not so: {title}.")
        elif so is None and was is not None:
            lines.append(f"Not known any more: {title}.")
    return lines
