"""The shorthand for wiring: chains of DC runs and lines of AC feeds, taken apart with the place of each word.

DC  ``b1+ = fmain = house+ : 50 mm2, 0.2 m, about 0.5 m``
    one size, then one length a hop; ``+`` or ``-`` for one pole, bare for both
AC  ``inlet > co.shore``, ``co > rcd > board > gpo1, gpo2``
    ``board | inlet > chg``: from one of the two, nobody knows which
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise

_END = re.compile(r"([A-Za-z][A-Za-z0-9_]*)(?:\.([A-Za-z][A-Za-z0-9_]*))?([+-]?)")
# "3,5 m" has a decimal comma, "(measured 2026-05-03, noon)" a comma of its own: neither parts two statements.
_PARTING_COMMA = re.compile(r",(?=\s|$)(?![^()]*\))")


@dataclass(frozen=True, slots=True)
class End:
    """One word of a chain: a part, its port if said, `+` or `-` if said, and its offset in the text."""

    part: str
    port: str
    pole: str
    offset: int

    def __str__(self) -> str:
        return self.part + (f".{self.port}" if self.port else "") + self.pole


@dataclass(frozen=True, slots=True)
class Piece:
    """One comma-separated statement behind the colon, with its offset."""

    text: str
    offset: int


class NotAChain(Exception):
    """The text is no chain: what was expected, what was found (None: nothing), and where (from 0)."""

    def __init__(self, expected: str, found: str | None, offset: int) -> None:
        super().__init__(f"expected {expected}, found {found}")
        self.expected, self.found, self.offset = expected, found, offset


def ends(text: str, start: int, stop: int) -> End:
    """The one end written between two offsets. Raises NotAChain."""
    word = text[start:stop]
    offset = start + len(word) - len(word.lstrip())
    match = _END.fullmatch(word.strip())
    if match is None:
        raise NotAChain("a part such as b1, b1+ or co.shore", word.strip() or None, offset)
    return End(match[1], match[2] or "", match[3], offset)


def split(text: str, mark: str, start: int = 0, stop: int | None = None) -> list[tuple[int, int]]:
    """Offsets of the stretches between marks."""
    stop = len(text) if stop is None else stop
    cuts = [start - 1, *(i for i in range(start, stop) if text[i] == mark), stop]
    return [(a + 1, b) for a, b in pairwise(cuts)]


def dc_chain(text: str) -> list[End]:
    """The ends of a DC chain, two at least. Raises NotAChain."""
    if ">" in text:
        raise NotAChain("'=' between the parts of a DC chain ('>' is for AC feeds)", ">", text.index(">"))
    if "=" not in text:
        raise NotAChain("two parts joined by '=', such as b1+ = fmain", text.strip() or None, 0)
    return [ends(text, a, b) for a, b in split(text, "=")]


def ac_line(text: str) -> tuple[list[End], list[list[End]]]:
    """An AC line as (alternatives it comes from, then each further stage); only the last may be several.

    ``a | b > c > d, e`` gives ``([a, b], [[c], [d, e]])``. Raises NotAChain.
    """
    if "=" in text:
        raise NotAChain("'>' between the parts of an AC line ('=' is for DC chains)", "=", text.index("="))
    stages = split(text, ">")
    if len(stages) < 2:
        raise NotAChain("a feed such as inlet > board", text.strip() or None, 0)
    first = [ends(text, a, b) for a, b in split(text, "|", *stages[0])]
    rest = [[ends(text, a, b) for a, b in split(text, ",", *stage)] for stage in stages[1:]]
    for stage in rest[:-1]:
        if len(stage) > 1:
            expected = "several parts only at the end of an AC line"
            raise NotAChain(expected, str(stage[1]), stage[1].offset)
    for end in [*first, *(each for stage in rest for each in stage)]:
        if end.pole:
            raise NotAChain("no + or - in an AC line", str(end), end.offset)
    return first, rest


def pieces(text: str) -> list[Piece]:
    """The statements behind the colon. A comma without a space after it may be decimal and does not part."""
    starts = [0, *(comma.end() for comma in _PARTING_COMMA.finditer(text))]
    stops = [*(comma.start() for comma in _PARTING_COMMA.finditer(text)), len(text)]
    found = []
    for start, stop in zip(starts, stops, strict=True):
        part = text[start:stop]
        found.append(Piece(part.strip(), start + len(part) - len(part.lstrip())))
    return found
