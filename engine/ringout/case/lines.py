"""One line of `dc:` or `ac:` in any of its three forms, with the place of every statement on it.

``house = inv``, ``house = inv : 35 mm2, 2.2 m``, ``{run: house = inv, size: 35 mm2, lug: crimped}``
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from ringout.case.form import sheet
from ringout.case.wiring import pieces
from ringout.text.checked import problem, unknown_key
from ringout.text.document import Document
from ringout.text.problem import Loc, Problem, Spot

EXAMPLE = {"run": "b1+ = fmain : 50 mm2, 0.2 m", "feed": "inlet > board"}
"""The two sorts of line, by the name that holds the text where a line is written with names."""


@dataclass(frozen=True, slots=True)
class Said:
    """A statement still to be read: where it stands, what it is, and its offset in the text there."""

    loc: Loc
    raw: Any
    offset: int = 0


@dataclass(frozen=True, slots=True)
class Line:
    """One line: its chain as text, the size and lengths behind it, and what else was stated by name."""

    loc: Loc
    text: str
    text_loc: Loc
    is_name: bool
    """Whether the text stands before the colon, as the name of what is behind it."""
    size: Said | None = None
    lengths: tuple[Said, ...] = ()
    more: dict[str, Said] = field(default_factory=dict)
    texts: dict[str, str] = field(default_factory=dict)
    supposed: bool = False

    def spot(self, document: Document, offset: int = 0) -> Spot:
        """Where a character of the text stands in the file."""
        if not self.is_name:
            return document.inside(self.text_loc, offset) if offset else document.spot(self.text_loc)
        start = document.key_spot(self.text_loc)
        name = document.places[self.text_loc].name_start
        quote = name is not None and document.text[name.index] in "'\""
        return Spot(start.file, start.line, start.column + offset + (quote and offset > 0))

    def measures(self, hop: int) -> dict[str, Said]:
        """What is said of the size and length of one hop, counted from 0."""
        said = {"size": self.size, "length": self.lengths[hop] if self.lengths else None}
        return {name: each for name, each in said.items() if each is not None}


def read_line(document: Document, loc: Loc, raw: object, sort: str, problems: list[Problem]) -> Line | None:
    """The line at a place; None, with its problems noted, where it is none. `sort` is "run" or "feed"."""
    if isinstance(raw, str):
        return Line(loc, raw, loc, is_name=False)
    if isinstance(raw, dict) and sort in raw:
        return _with_names(document, loc, raw, sort, problems)
    if isinstance(raw, dict) and len(raw) == 1:
        ((text, behind),) = raw.items()
        return _with_colon(document, loc, text, behind, sort, problems)
    expected = f"a line such as {EXAMPLE[sort]}, or '{sort}: ...' among the names"
    problems.append(problem(document, loc, expected, raw))
    return None


def _with_colon(
    document: Document, loc: Loc, text: str, behind: object, sort: str, problems: list[Problem]
) -> Line | None:
    where = (*loc, text)
    if sort == "feed":
        hint = "write {feed: ..., size: ..., length: ...}"
        problems.append(problem(document, where, "nothing behind an AC line", behind, hint))
        return None
    if not isinstance(behind, str):
        hint = "write {run: ..., size: ..., lug: ...} for more than sizes"
        problems.append(problem(document, where, "a size, then a length for each hop", behind, hint))
        return None
    size, *lengths = (Said(where, piece.text, piece.offset) for piece in pieces(behind))
    return Line(loc, text, where, is_name=True, size=size, lengths=tuple(lengths))


def _with_names(
    document: Document, loc: Loc, raw: dict[str, object], sort: str, problems: list[Problem]
) -> Line | None:
    text = raw[sort]
    if not isinstance(text, str):
        problems.append(problem(document, (*loc, sort), "a line of parts", text))
        return None
    fields = sheet("run").fields
    said: dict[str, Said] = {}
    texts: dict[str, str] = {}
    for name, value in raw.items():
        where = (*loc, name)
        if name == sort:
            continue
        if name == "supposed":
            if value not in ("yes", "no"):
                problems.append(problem(document, where, "yes or no", value))
        elif name not in fields:
            problems.append(unknown_key(document, where, [*fields, sort, "supposed"]))
        elif not fields[name].free_text:
            said[name] = Said(where, value)
        elif isinstance(value, str):
            texts[name] = value
        else:
            problems.append(problem(document, where, "words", value))
    size, length = said.pop("size", None), said.pop("length", None)
    return Line(
        loc,
        text,
        (*loc, sort),
        is_name=False,
        size=size,
        lengths=(length,) if length else (),
        more=said,
        texts=texts,
        supposed=raw.get("supposed") == "yes",
    )
