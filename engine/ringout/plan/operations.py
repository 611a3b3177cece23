"""What a remedy does to a case as it is written, all of it at once or not at all.

Every operation addresses the case before the change: a field by its name (`b1.chemistry`), a run by its id
(`b1+~fmain`), a feed by its consumer. The changed text goes through the reader of all cases, so that a
proposal is held to the same rules as what an inspector writes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ringout.case.case import Case
from ringout.case.form import sheet
from ringout.case.load import load_text
from ringout.plan.feeds import feed_of, without
from ringout.plan.runs import rewritten
from ringout.plan.written import LineText, Unfit, add_line, flow
from ringout.text.edit import add_entry, quote, remove, set_value
from ringout.text.problem import Loc

SHEETS = ("habits", "surroundings", "mains", "looked_for", "distances")
"""What stands before the full stop of a path and is neither a part nor a place."""
ALL, NONE = "all", "none seen"
"""How completely a kind was looked for, as a case says it."""
WHOLE = "installation"
"""What stands before the full stop of a path to a statement about the whole (`installation.dc_volts`)."""


@dataclass(frozen=True, slots=True)
class Set:
    """Values by path: fields of parts, places, runs and the rest.

    A value is the text that a case would hold, or a statement written with names (`is`, `from`, `at`).
    """

    values: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class AddPart:
    """One more part; `replaces` names the part whose place it takes, so that findings stay the same ones."""

    name: str
    fields: Mapping[str, Any]
    replaces: str = ""


@dataclass(frozen=True, slots=True)
class AddRun:
    """One more DC line: its chain, its size, and its lengths as they stand behind the size."""

    chain: str
    size: str = ""
    length: str = ""


@dataclass(frozen=True, slots=True)
class AddFeed:
    """One more AC line."""

    line: str


@dataclass(frozen=True, slots=True)
class AddLine:
    """One more line of `dc` or `ac` (`key`), as a person wrote it in any of its forms."""

    key: str
    line: LineText


@dataclass(frozen=True, slots=True)
class RemovePart:
    """A part goes; what else names it must go as well."""

    name: str


@dataclass(frozen=True, slots=True)
class RemoveRun:
    """A run goes; the rest of its line stays."""

    id: str


@dataclass(frozen=True, slots=True)
class RemoveFeed:
    """Nothing feeds a consumer any more."""

    consumer: str


@dataclass(frozen=True, slots=True)
class RemoveStatement:
    """What is stated at a path no longer holds, and nobody knows yet what does."""

    path: str


@dataclass(frozen=True, slots=True)
class MoveFeed:
    """A consumer gets its supply from another source."""

    consumer: str
    to: str


Added = AddPart | AddRun | AddFeed | AddLine
Removed = RemovePart | RemoveRun | RemoveFeed | RemoveStatement
Operation = Set | Added | Removed | MoveFeed


@dataclass(slots=True)
class _Gathered:
    """Operations sorted by what they do to the text."""

    runs: dict[str, dict[str, Any]] = field(default_factory=dict)
    runs_removed: set[str] = field(default_factory=set)
    fed: set[str] = field(default_factory=set)
    values: dict[Loc, Any] = field(default_factory=dict)
    gone: list[Loc] = field(default_factory=list)
    parts: list[AddPart] = field(default_factory=list)
    lines: list[AddLine] = field(default_factory=list)

    @property
    def touched(self) -> frozenset[str]:
        """What is no longer as it was when anything was read there: fields by path, runs and parts."""
        fields = {f"{loc[1]}.{loc[2]}" for loc in self.values if len(loc) > 2}
        return frozenset({*fields, *self.runs, *self.runs_removed, *(part.name for part in self.parts)})


def apply(case: Case, operations: Sequence[Operation], title: str = "") -> Case:
    """The case after the operations, its title marked with `title` so that it passes for no record.

    Raises Unfit where an operation does not fit the case, Unusable with the lines of the changed text where
    that cannot be read.
    """
    gathered = _gather(case, operations)
    text = case.document.text
    try:
        if title:
            text = set_value(text, ("case",), quote(f"{case.title} ({title})"))
        text = rewritten(text, case, gathered.runs, gathered.runs_removed)
        text = without(text, case, gathered.fed)
        for loc, value in gathered.values.items():
            text = _stated(text, case, loc, value)
        for loc in gathered.gone:
            text = remove(text, loc)
        for part in gathered.parts:
            text = add_entry(text, ("parts",), part.name, flow(part.fields))
        for line in gathered.lines:
            text = add_line(text, line.key, line.line)
    except ValueError as fault:  # the editor says why the file as it is written does not take the change
        raise Unfit(str(fault)) from None
    made = load_text(text, f"{case.document.file} ({title})" if title else case.document.file)
    made.since = case.since | gathered.touched | (made.hops.keys() - case.hops.keys())
    return made


def replaced(operations: Sequence[Operation]) -> dict[str, str]:
    """New part -> the part whose place it takes."""
    return {each.name: each.replaces for each in operations if isinstance(each, AddPart) and each.replaces}


def _gather(case: Case, operations: Sequence[Operation]) -> _Gathered:
    out = _Gathered()
    for each in operations:
        match each:
            case Set(values):
                for path, value in values.items():
                    _set(case, out, path, value)
            case AddPart(name, fields):
                if name in case.parts:
                    raise Unfit(f"there is a part {name} already")
                out.parts.append(each)
                _now_seen(case, out, fields.get("kind", ""))
            case AddRun(chain, size, length):
                behind = ", ".join(said for said in (size, length) if said)
                out.lines.append(AddLine("dc", {chain: behind} if behind else chain))
            case AddFeed(feed):
                out.lines.append(AddLine("ac", feed))
            case AddLine():
                out.lines.append(each)
            case RemovePart(name):
                if name not in case.parts:
                    raise Unfit(f"there is no part {name}")
                out.gone.append(("parts", name))
            case RemoveRun(id):
                if id not in case.hops:
                    raise Unfit(f"there is no run {id}")
                out.runs_removed.add(id)
            case RemoveFeed(consumer):
                out.fed.add(feed_of(case, consumer).to)
            case RemoveStatement(path):
                out.gone.append(_loc(case, path))
            case MoveFeed(consumer, to):
                out.fed.add(feed_of(case, consumer).to)
                out.lines.append(AddLine("ac", f"{to} > {consumer}"))
    both = out.runs_removed & out.runs.keys()
    if both:
        raise Unfit(f"{min(both)} is to be changed and to be removed")
    return out


def _set(case: Case, out: _Gathered, path: str, value: Any) -> None:
    name, _, key = path.rpartition(".")
    if name not in case.hops:
        out.values[_loc(case, path)] = value
        return
    if key not in sheet("run").fields and key != "supposed":
        raise Unfit(f"a run has no {key}")
    out.runs.setdefault(name, {})[key] = value


def _now_seen(case: Case, out: _Gathered, kind: str) -> None:
    """Where all of a kind were looked for and none was there, all there are is the new one."""
    raw = case.frame.looked_for.get(kind)
    if isinstance(raw, Mapping) and raw.get("is") == NONE:
        out.values["looked_for", kind] = {**raw, "is": ALL}
    elif isinstance(raw, str) and raw.startswith(NONE):
        out.values["looked_for", kind] = raw.replace(NONE, ALL, 1)


def _loc(case: Case, path: str) -> Loc:
    """The place in the file of what a path names."""
    name, _, key = path.rpartition(".")
    if name in case.parts:
        return ("parts", name, key)
    if name in case.places:
        return ("places", name, key)
    if name == WHOLE:
        return (key,)
    if name in SHEETS:
        return (name, key)
    raise Unfit(f"there is neither a part, a run nor a place {name}")


def _stated(text: str, case: Case, loc: Loc, value: Any) -> str:
    if loc in case.document.places:
        return set_value(text, loc, flow(value))
    return add_entry(text, loc[:-1], str(loc[-1]), flow(value))
