"""The shorthand for wiring: chains of DC runs and lines of AC feeds, taken apart with the place of each word.

DC  ``b1+ = fmain = house+ : 50 mm2, 0.2 m, about 0.5 m``   one size, one length a hop; ``+``/``-`` one pole, bare a pair
AC  ``inlet > co.shore``, ``co > rcd > board > gpo1, gpo2``, ``board | inlet > chg`` (one of the two, nobody knows which)
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_END = re.compile(r"([A-Za-z][A-Za-z0-9_]*)(?:\.([A-Za-z][A-Za-z0-9_]*))?([+-]?)")


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
    """The text is no chain: what was expected, what was found, and where (0-based offset)."""

    def __init__(self, expected: str, found: str, offset: int) -> None:
        self.expected, self.found, self.offset = expected, found, offset


def ends(text: str, start: int, stop: int) -> End:
    """The one end written between two offsets."""
    word = text[start:stop]
    offset = start + len(word) - len(word.lstrip())
    match = _END.fullmatch(word.strip())
    if match is None:
        raise NotAChain("a part such as b1, b1+ or co.shore", word.strip(), offset)
    return End(match[1], match[2] or "", match[3], offset)


def split(text: str, mark: str, start: int = 0, stop: int | None = None) -> list[tuple[int, int]]:
    """Offsets of the stretches between marks."""
    stop = len(text) if stop is None else stop
    cuts = [start - 1] + [i for i in range(start, stop) if text[i] == mark] + [stop]
    return [(a + 1, b) for a, b in zip(cuts, cuts[1:], strict=False)]


def dc_chain(text: str) -> list[End]:
    """The ends of a DC chain, two at least. Raises NotAChain."""
    if ">" in text:
        raise NotAChain("'=' between the parts of a DC chain ('>' is for AC feeds)", ">", text.index(">"))
    found = [ends(text, a, b) for a, b in split(text, "=")]
    if len(found) < 2:
        raise NotAChain("two parts joined by '=', such as b1+ = fmain", text.strip(), 0)
    return found


def ac_line(text: str) -> tuple[list[End], list[list[End]]]:
    """An AC line as (alternatives it comes from, then each further stage); only the last stage may be several.

    ``a | b > c > d, e`` gives ``([a, b], [[c], [d, e]])``. Raises NotAChain.
    """
    if "=" in text:
        raise NotAChain("'>' between the parts of an AC line ('=' is for DC chains)", "=", text.index("="))
    stages = split(text, ">")
    if len(stages) < 2:
        raise NotAChain("a feed such as inlet > board", text.strip(), 0)
    first = [ends(text, a, b) for a, b in split(text, "|", *stages[0])]
    rest = [[ends(text, a, b) for a, b in split(text, ",", *stage)] for stage in stages[1:]]
    for stage in rest[:-1]:
        if len(stage) > 1:
            raise NotAChain("several parts only at the end of an AC line", str(stage[1]), stage[1].offset)
    for end in [*first, *(each for stage in rest for each in stage)]:
        if end.pole:
            raise NotAChain("no + or - in an AC line", str(end), end.offset)
    return first, rest


def pieces(text: str) -> list[Piece]:
    """The statements behind the colon. A comma without a space after it may be a decimal comma and does not part."""
    found, offset = [], 0
    for part in re.split(r",(?=\s|$)", text):
        stripped = part.strip()
        found.append(Piece(stripped, offset + len(part) - len(part.lstrip())))
        offset += len(part) + 1
    return found
