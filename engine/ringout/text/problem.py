"""What is wrong in a file, and where: one line that says what was expected and what was found."""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

Loc = tuple[str | int, ...]
"""The way from the top of a file to a value: names and, in lists, positions counted from 0."""

LONGEST_SHOWN = 60
"""Characters of a person's text repeated in a message; the rest would hide the message."""


@dataclass(frozen=True, order=True, slots=True)
class Spot:
    """A place in a file; line and column count from 1, as editors do."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{_one_line(self.file)}:{self.line}:{self.column}"


@dataclass(frozen=True, order=True, slots=True)
class Problem:
    """One thing to put right.

    `path` is the dotted way to the value, "" for the file as a whole. `expected` and `found` are phrases that
    read on from those words (`shown` puts a person's own text into quotes). `hint` is a closing remark or "".
    """

    spot: Spot
    path: str
    expected: str
    found: str
    hint: str = ""

    def __str__(self) -> str:
        path = f"{self.path}: " if self.path else ""
        hint = f"; {self.hint}" if self.hint else ""
        return f"{self.spot}: {path}expected {self.expected}, found {self.found}{hint}"


class Unusable(Exception):
    """A file cannot be used as it stands. Holds every problem found in it, in the order of the file."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(problems))
        super().__init__("\n".join(map(str, self.problems)))


def dotted(loc: Loc) -> str:
    """The way to a value as people read it: `batteries.1.chemistry`, list positions counted from 1."""
    return ".".join(str(step + 1) if isinstance(step, int) else _one_line(step) for step in loc)


def shown(value: object) -> str:
    """What a person wrote, for use in a message: a text in quotes, on one line, cut after 60 characters."""
    if value is None:
        return "nothing"
    if isinstance(value, dict):
        return "names with values of their own"
    if isinstance(value, list):
        return "a list"
    text = str(value)
    cut = text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 1] + "…"
    return f"'{_one_line(cut)}'"


def did_you_mean(word: str, candidates: Iterable[str]) -> str:
    """The nearest right spelling as a hint, or "" when nothing is near.

    A candidate that differs in capitals only wins over any other.
    """
    by_lower: dict[str, str] = {}
    for candidate in candidates:
        by_lower.setdefault(candidate.lower(), candidate)
    lower = word.lower()
    near = [lower] if lower in by_lower else []
    if not near and len(word) <= LONGEST_SHOWN:  # the search slows with the square of the length
        near = get_close_matches(lower, by_lower, n=1)
    return f"did you mean {shown(by_lower[near[0]])}?" if near else ""


def _one_line(text: str) -> str:
    """Line breaks and control characters as codes, so that no file can forge a line of a message."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)
