"""Times of a visit, so that what was read before a change is told apart from what was read after it.

A case may say when in any words; where something was changed during the visit, the times must compare.
"""

from __future__ import annotations

import re

from ringout.case.frame import CaseFile
from ringout.text.checked import problem
from ringout.text.document import Document
from ringout.text.problem import Loc, Problem

_MOMENT = re.compile(r"(?:(\d{4}-\d\d-\d\d)(?: |$))?(?:(\d{1,2}):(\d\d))?")
EXAMPLES = "10:40, 2026-05-03 or 2026-05-03 10:40"


def moment(text: str) -> str | None:
    """A time as text that sorts by time among others of its length; None where it is no date and no time."""
    match = _MOMENT.fullmatch(text.strip())
    if match is None or not text.strip():
        return None
    day, hour, minute = match.groups()
    if hour is not None and (int(hour) > 23 or int(minute) > 59):
        return None
    clock = f"{hour:0>2}:{minute}" if hour is not None else ""
    return " ".join(filter(None, (day, clock)))


def check_moments(document: Document, frame: CaseFile, problems: list[Problem]) -> None:
    """Where the file has changes, its times must be written alike: "9:30" and "2026-05-03" do not compare."""
    if not frame.changed:
        return
    told: list[tuple[Loc, str]] = [
        (("changed", number, "at"), each.at) for number, each in enumerate(frame.changed)
    ]
    told += [(("readings", name, "at"), each.at) for name, each in frame.readings.items() if each.at]
    first = moment(frame.changed[0].at)
    for loc, at in told:
        found = moment(at)
        if found is None:
            problems.append(problem(document, loc, f"a time such as {EXAMPLES}", at))
        elif first is not None and len(found) != len(first):
            expected = f"a time written like that of the first change, {frame.changed[0].at}"
            problems.append(problem(document, loc, expected, at))
