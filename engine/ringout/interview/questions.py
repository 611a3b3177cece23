"""Questions as a face shows them: from an opening question of the script, or from what the review needs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

from ringout.case.case import Case, Sheet
from ringout.case.form import Field, sheet
from ringout.case.frame import LOOKED, REGIONS, VEHICLES
from ringout.interview import save
from ringout.interview.script import Step, script
from ringout.interview.symptoms import OTHER, nearest, symptoms
from ringout.quantity.unit import DIMENSIONS

NONE_OF_THESE = "none of these"
FRAME_WORDS = {"kind": VEHICLES, "region": REGIONS}

_LICENSED = (
    "only from a licensed person's test or report; do not open it to look; "
    "with the report in hand add (measured), for mere words clear nothing"
)


class Need(Protocol):
    """One fact that the review wants to know; `settles` are titles of what its answer decides."""

    @property
    def path(self) -> str: ...
    @property
    def ask(self) -> str: ...
    @property
    def words(self) -> tuple[str, ...]: ...
    @property
    def dimension(self) -> str: ...
    @property
    def minutes(self) -> int: ...
    @property
    def access(self) -> str: ...
    @property
    def settles(self) -> tuple[str, ...]: ...


@dataclass(frozen=True, slots=True)
class Question:
    """One question. `takes` tells what it is: value, complaint, symptom, danger, confirm or made_safe.

    `words` are all the answers allowed where there are any, `shows` else says what is expected; `minutes`:
    how long finding out takes; `first`: it comes before the first screen; `path`: the place it is about.
    """

    id: str
    ask: str
    why: str
    takes: str = "value"
    words: tuple[str, ...] = ()
    shows: str = ""
    minutes: int = 1
    first: bool = False
    path: str = ""
    step: Step | None = None


def opening(case: Case, *, looked: bool) -> Iterator[Question]:
    """The opening questions that the case still needs; `looked` where danger signs were asked for already."""
    for step in script():
        if step.takes == "symptom":
            path = unfiled(case)
            if path:
                yield _of_symptom(step, path, case)
        elif step.takes == "danger":
            if not looked:
                yield _of_step(step, case)
        elif step.takes == "complaint":
            if not case.complaints and not save.asked(case, step.about):
                yield _of_step(step, case)
        elif step.open(case):
            yield _of_step(step, case)


def wanted(case: Case, needs: Sequence[Need]) -> Iterator[Question]:
    """The needs that nobody was asked about yet, in the order given."""
    for need in needs:
        if not save.asked(case, need.path):
            yield _of_need(need, case)


def unfiled(case: Case) -> str:
    """The path of the first complaint that is filed under no symptom yet, or ""."""
    paths = [f"complaints.{name}.symptom" for name, each in case.complaints.items() if each.symptom == OTHER]
    return next((path for path in paths if not save.asked(case, path)), "")


def _of_symptom(step: Step, path: str, case: Case) -> Question:
    complaint = case.complaints[path.split(".")[1]]
    words = (*(symptoms()[each].says for each in nearest(complaint.says)), NONE_OF_THESE)
    return Question(step.id, step.ask, step.why, "symptom", words, first=step.first, path=path, step=step)


def _of_step(step: Step, case: Case) -> Question:
    path = step.path(case)
    field = field_of(case, path)
    words: tuple[str, ...] = ()
    if not step.shows:
        words = FRAME_WORDS.get(path) or (field.options if field else ())
    minutes = field.minutes if field else 1
    if step.takes == "danger":
        minutes = 0  # never left out for want of time
    shown = words, step.shows
    return Question(step.id, step.ask, step.why, step.takes, *shown, minutes, step.first, path, step)


def _of_need(need: Need, case: Case) -> Question:
    ask, why = need.ask, "; ".join(need.settles[:2])
    why = f"it settles: {why}" if why else "it is not known yet"
    minutes = need.minutes
    if need.access == "licensed":
        ask, why, minutes = f"Has a licensed person found out? {ask}", _LICENSED, 1
    words = LOOKED if need.path.startswith("looked_for.") else need.words
    shows = "" if words else _example(need.dimension)
    return Question(need.path, ask, why, "value", words, shows, minutes, path=need.path)


def _example(dimension: str) -> str:
    """What an answer of a dimension looks like."""
    if dimension == "count":
        return "a whole number, such as 2"
    its = DIMENSIONS.get(dimension)
    return f"{its.words}, such as {its.example}" if its else "a few words"


def field_of(case: Case, path: str) -> Field | None:
    """The field that a path names, None for what no form describes."""
    head, _, key = path.partition(".")
    if head == "installation":
        return sheet("installation").fields.get(key)
    sheets: dict[str, Sheet] = {each.name: each for each in (case.habits, case.surroundings, case.mains)}
    sheets |= case.places | case.parts
    return sheets[head].form.fields.get(key) if head in sheets else None
