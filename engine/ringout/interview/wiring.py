"""Answers about wiring onto its line as written: what feeds a part, how thick and how long a cable is."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Any

from ringout.case.case import Case
from ringout.case.wiring import NotAChain, ac_line, dc_chain, pieces
from ringout.text.compose import Form
from ringout.text.edit import add_entry, quote, set_value
from ringout.text.problem import Loc

FED_FROM = ".fed_from"
_OPEN = ("unknown", "(said)")


def wired(case: Case, path: str, value: str) -> str | None:
    """The text with an answer about "chg.fed_from", "b1+~fmain.size" or "b1+~fmain.length" on its line.

    None where no single line states it, or where somebody stated it already. Raises ValueError where the file
    is written in a way that forbids the change.
    """
    if path.endswith(FED_FROM):
        return _fed(case, path.removesuffix(FED_FROM), value)
    hop, _, key = path.rpartition(".")
    return _measured(case, hop, key, value) if key in ("size", "length") else None


def _fed(case: Case, fed: str, value: str) -> str | None:
    """`a | b > fed` becomes `a > fed`, where the line feeds nothing else at that point."""
    for loc, text in _lines(case, "ac", "feed"):
        first, rest = ac_line(text)
        named = len(rest[0]) == 1 and fed in (str(rest[0][0]), rest[0][0].part)
        chosen = [end for end in first if value in (str(end), end.part) or value.startswith(f"{end}.")]
        if named and len(first) > 1 and len(chosen) == 1:
            return set_value(case.document.text, loc, quote(f"{chosen[0]} {text[text.index('>') :]}"))
    return None


def _measured(case: Case, hop: str, key: str, value: str) -> str | None:
    for loc, text in _lines(case, "dc", "run"):
        try:
            hops = [f"{a}~{b}" for a, b in pairwise(dc_chain(text))]
        except NotAChain:
            continue
        if hops.count(hop) == 1:
            place = 0 if key == "size" else 1 + hops.index(hop)
            return _stated(case, loc, text, key, place, len(hops), value)
    return None


def _stated(case: Case, loc: Loc, chain: str, key: str, place: int, hops: int, value: str) -> str | None:
    """The line with a size (place 0) or the length of a hop (from 1) behind its colon, or under its name."""
    text, item = case.document.text, case.document.at(loc[:2])
    if isinstance(item, dict) and "run" in item:
        if key in item or (key == "length" and hops > 1):
            return None
        return add_entry(text, loc[:2], key, quote(value))
    behind = [piece.text for piece in pieces(item[chain])] if isinstance(item, dict) else []
    wanted = 1 + hops if place or len(behind) > 1 else 1  # lengths are given for every hop or for none
    said = [*behind, *["unknown"] * (wanted - len(behind))]
    if not said[place].startswith(_OPEN[0]) and not said[place].endswith(_OPEN[1]):
        return None
    said[place] = value
    stated = ", ".join(said)
    in_braces = case.document.places[loc[:1]].form is Form.FLOW
    if in_braces or any(quote(each) != each for each in said):
        stated = quote(stated)
    if isinstance(item, dict):
        return set_value(text, (*loc[:2], chain), stated)
    return set_value(text, loc, f"{quote(chain)}: {stated}")


def _lines(case: Case, block: str, name: str) -> Iterator[tuple[Loc, str]]:
    """Each line of a block: the place of its text, and the text."""
    items: list[Any] = getattr(case.frame, block)
    for number, item in enumerate(items):
        loc: Loc = (block, number)
        if isinstance(item, str):
            yield loc, item
        elif isinstance(item, dict) and isinstance(item.get(name), str):
            yield (*loc, name), item[name]
        elif isinstance(item, dict) and len(item) == 1:
            yield loc, next(iter(item))
