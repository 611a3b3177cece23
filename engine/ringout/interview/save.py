"""Answers onto the case file as written: every other line stays, and the file is whole after every answer.

An answer goes straight to the place it is about where the file says nothing there, or only what an earlier
answer said. What somebody saw, measured or read stays as it is: the answer then stands under `answers:`. What
has no place of its own (a question that nobody could answer, say) becomes a line of `notes:`.
"""

from __future__ import annotations

import re
from typing import Any

from ringout.case.case import Case, Sheet
from ringout.case.frame import CaseFile
from ringout.case.statement import NOT_KNOWN
from ringout.interview.wiring import FED_FROM, wired
from ringout.quantity.leaf import Origin
from ringout.text.compose import Form
from ringout.text.document import read_text
from ringout.text.edit import add_entry, add_item, quote, remove, set_value
from ringout.text.problem import Loc, Unusable

SAID = f"({Origin.SAID})"
UNKNOWN = f"unknown {SAID}"
THERE = "there"

_ORDER = {block: place for place, block in enumerate(CaseFile.model_fields)}
_TAIL = re.compile(r"\s*\([^()]*\)\s*$")


def new_case(title: str) -> str:
    """A case file that holds nothing yet but its title."""
    return f"# yaml-language-server: $schema=case.schema.json\ncase: {quote(title)}\n"


def put(text: str, loc: Loc, value: str) -> str:
    """The text with a plain value at `loc`; blocks missing on the way are begun, in the order of the frame.

    Raises ValueError where the file is written in a way that forbids it.
    """
    if loc in read_text(text, "").places:
        return set_value(text, loc, quote(value))
    return _add(text, loc, quote(value))


def note(text: str, line: str) -> str:
    """The text with one more line under `notes:`. Raises ValueError as `put` does."""
    return add_item(_with_list(text, "notes"), ("notes",), quote(line))


def say(case: Case, path: str, value: str, ask: str, at: str) -> str:
    """The text of the case with an answer about a `path` such as "mains.rcd" or "looked_for.fuse".

    `value` is as a case states it, UNKNOWN where nobody knew; `ask` and `at` (date and time) go with what
    needs a note. Raises ValueError as `put` does.
    """
    text, loc = case.document.text, place_of(case, path)
    unknown = _bare(value) in NOT_KNOWN
    if loc is None:
        feed = path.endswith(FED_FROM)
        made = None if unknown else wired(case, path, _bare(value) if feed else value)
        # A feed carries no origin, so a note tells who said it.
        return made if made and not feed else note(made or text, _line(path, value, ask, at))
    if unknown and _words_only(case, path):
        return note(text, _line(path, value, ask, at))
    there = _stated(case, loc)
    if path.endswith(f".{THERE}") and _bare(value) == "yes" and there:
        return remove(text, loc)
    if path.endswith(f".{THERE}"):
        return note(text, _line(path, value, ask, at))
    if there is None or _bare(there) in NOT_KNOWN:
        return put(text, loc, _bare(value) if _words_only(case, path) else value)
    if not unknown and (there.endswith(SAID) or loc[0] == "looked_for"):
        return put(text, loc, value)
    if loc[0] not in ("parts", "places", "habits", "surroundings", "mains"):
        return note(text, _line(path, value, ask, at))
    fields = {"about": path, "answer": value, "question": ask, "at": at}
    entry = ", ".join(f"{key}: {quote(each)}" for key, each in fields.items())
    return add_item(_with_list(text, "answers"), ("answers",), "{" + entry + "}")


def asked(case: Case, path: str) -> bool:
    """Whether somebody was asked about `path` and could not say, or said all that will be said.

    That is a free text, an answer beside what was stated already, or one that the file could only note.
    """
    if any(answer.about == path for answer in case.frame.answers):
        return True
    if any(f": {path} (" in line for line in case.frame.notes):
        return True
    there = stated(case, path)
    return there is not None and (_bare(there) in NOT_KNOWN or _free_text(case, path) or _only_said(case, path))


def stated(case: Case, path: str) -> str | None:
    """What the file states at the place of `path`, None for nothing."""
    loc = place_of(case, path)
    return None if loc is None else _stated(case, loc)


def place_of(case: Case, path: str) -> Loc | None:
    """Where in the file a path is stated, None where no single value states it."""
    head, _, key = path.partition(".")
    if head == "installation":
        return (key,)
    if not key:
        return (head,)
    if head in ("complaints", "looked_for"):
        return (head, *key.split("."))
    if head == "distances":
        return (head, key)
    if head == "readings":
        return (head, key, "value") if key in case.frame.readings else None
    own = {each.name: each for each in (case.habits, case.surroundings, case.mains)}
    if head in own:
        return (head, key) if key in own[head].form.fields else None
    for block, sheets in (("parts", case.parts), ("places", case.places)):
        sheet: Sheet | None = sheets.get(head)
        if sheet is not None and key == THERE:
            return (block, head, "supposed")
        if sheet is not None and key in sheet.form.fields:
            return (block, head, key)
    return None


def _line(path: str, value: str, ask: str, at: str) -> str:
    if _bare(value) in NOT_KNOWN:
        return f"{at} not known: {path} ({ask})"
    return f"{at} answered: {path} ({ask}) {value}"


def _words_only(case: Case, path: str) -> bool:
    """Whether the value is mere words, which carry no origin and cannot be open."""
    head = path.removeprefix("installation.").partition(".")[0]
    return head in ("complaints", "kind", "region") or _free_text(case, path)


def _free_text(case: Case, path: str) -> bool:
    head, _, key = path.partition(".")
    sheets: dict[str, Sheet] = {each.name: each for each in (case.habits, case.surroundings, case.mains)}
    sheets |= case.places | case.parts
    field = sheets[head].form.fields.get(key) if head in sheets else None
    return field is not None and field.free_text


def _only_said(case: Case, path: str) -> bool:
    """Whether the owner said all that the owner can say: to ask again brings no test."""
    head, _, key = path.rpartition(".")
    sheets: dict[str, Sheet] = {each.name: each for each in (case.habits, case.surroundings, case.mains)}
    sheets |= case.places | case.parts
    return head in sheets and key in sheets[head].leaves and sheets[head].leaf(key).word is not None


def _stated(case: Case, loc: Loc) -> str | None:
    if loc not in case.document.places:
        return None
    value: Any = case.document.at(loc)
    if isinstance(value, dict) and "is" in value:
        return f"{value['is']} ({value.get('from', Origin.SEEN)})"
    return value if isinstance(value, str) or value is None else str(value)


def _bare(value: str) -> str:
    return _TAIL.sub("", value)


def _with_list(text: str, block: str) -> str:
    return text if (block,) in read_text(text, "").places else _add(text, (block,), "[]")


def _add(text: str, loc: Loc, value: str) -> str:
    """One entry more, with the mappings around it; `value` as it stands in the file."""
    if len(loc) == 1:
        return _begin(text, str(loc[0]), value)
    if loc[:-1] not in read_text(text, "").places:
        text = _add(text, loc[:-1], "{}")
    return add_entry(text, loc[:-1], str(loc[-1]), value)


def _begin(text: str, block: str, value: str) -> str:
    """A new line at the top level, behind the last one that the frame has before it."""
    document = read_text(text, "")
    data: dict[str, Any] = document.at(())
    before = [name for name in data if _ORDER.get(name, 0) < _ORDER[block]]
    if before and document.places[()].form is Form.BLOCK:
        _, end = document.span((before[-1],))
        line_end = text.find("\n", end)
        if line_end >= 0:
            newline = "\r\n" if text[line_end - 1] == "\r" else "\n"
            made = f"{text[: line_end + 1]}{block}: {value}{newline}{text[line_end + 1 :]}"
            if _says(made, {**data, block: read_text(value, "").data}):
                return made
    return add_entry(text, (), block, value)


def _says(text: str, expected: object) -> bool:
    """Whether a text states exactly that: an insertion must disturb nothing else."""
    try:
        return read_text(text, "").data == expected
    except Unusable:
        return False
