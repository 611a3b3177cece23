"""One statement as written: a value, where it comes from, when, and in which state.

Short: ``300 A (label)``, ``LFP (said)``, ``14.2 V (measured 2026-05-03 11:10)``, ``unknown``.
Long: names with values: `is`, `from`, `at`, `state`, `by`, `note`.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from ringout.case.form import Field
from ringout.quantity.leaf import WEAK, Leaf, Origin
from ringout.quantity.notation import NotUnderstood, parse
from ringout.quantity.printed import format_value
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.unit import dimension_named
from ringout.text.checked import problem, unknown_key
from ringout.text.document import Document
from ringout.text.problem import Loc, Problem, Spot, did_you_mean, dotted

ORIGINS = ("measured", "seen", "label", "manual", "display", "said", "assumed", "supposed")
NOT_KNOWN = frozenset({"unknown", "not known", "don't know", "dont know", "?"})
LONG = ("is", "from", "at", "state", "by", "note")
"""The names of a statement written long."""

_TAIL = re.compile(r"\s*\(([^()]*)\)\s*$")
_OR = re.compile(r"\s*\|\s*|\s+or\s+")
_COUNT = re.compile(r"([0-9]{1,6})(?:\s*(?:\.\.|\bto\b)\s*([0-9]{1,6}))?")


@dataclass(frozen=True, slots=True)
class Stated:
    """A statement taken apart; `value` is still text, `offset` its place inside the written text."""

    value: str
    origin: Origin
    at: str = ""
    state: str = ""
    by: str = ""
    note: str = ""
    offset: int = 0


class NotAStatement(Exception):
    """Carries the problem of a statement that cannot be read."""

    def __init__(self, found: Problem) -> None:
        super().__init__(str(found))
        self.problem = found


def take_apart(
    document: Document, loc: Loc, raw: object, default: Origin = Origin.SEEN, offset: int = 0
) -> Stated:
    """Split a statement into value, origin, time and state. Raises NotAStatement.

    `offset` is the place of the statement in the text at `loc`, where that holds several.
    """
    if isinstance(raw, str):
        return _short(document, loc, raw, default, offset)
    if isinstance(raw, dict):
        return _long(document, loc, raw, default)
    raise NotAStatement(problem(document, loc, "a value", raw))


def _short(document: Document, loc: Loc, raw: str, default: Origin, offset: int) -> Stated:
    start = offset + len(raw) - len(raw.lstrip())
    tail = _TAIL.search(raw)
    if tail is None:
        return Stated(raw.strip(), default, offset=start)
    words = tail[1].split(None, 1)
    word = words[0] if words else ""
    if word not in ORIGINS:
        expected = "in the brackets one of " + ", ".join(ORIGINS)
        at = offset + tail.start(1)
        raise NotAStatement(
            problem(document, loc, expected, tail[1], did_you_mean(word, ORIGINS), offset=at)
        )
    when = words[1] if len(words) > 1 else ""
    return Stated(raw[: tail.start()].strip(), Origin(word), at=when, offset=start)


def _long(document: Document, loc: Loc, raw: dict[str, object], default: Origin) -> Stated:
    said: dict[str, str] = {}
    for name, value in raw.items():
        if name not in LONG:
            raise NotAStatement(unknown_key(document, (*loc, name), LONG))
        if not isinstance(value, str):
            raise NotAStatement(problem(document, (*loc, name), "text", value))
        said[name] = value
    if "is" not in said:
        spot = document.spot(loc)
        raise NotAStatement(Problem(spot, dotted(loc), "'is: ...' with the value", "nothing of that name"))
    word = said.get("from", default)
    if word not in ORIGINS:
        expected = "one of " + ", ".join(ORIGINS)
        raise NotAStatement(problem(document, (*loc, "from"), expected, word, did_you_mean(word, ORIGINS)))
    value = said["is"]
    return Stated(
        value.strip(),
        Origin(word),
        at=said.get("at", ""),
        state=said.get("state", ""),
        by=said.get("by", ""),
        note=said.get("note", ""),
        offset=len(value) - len(value.lstrip()),
    )


def leaf(
    document: Document,
    loc: Loc,
    raw: object,
    field: Field,
    path: str,
    default: Origin = Origin.SEEN,
    offset: int = 0,
) -> Leaf:
    """The leaf a statement makes: what may be relied on, or a hint where it is only assumed or supposed.

    `default` is the origin of a statement that names none. Raises NotAStatement when the value cannot be read
    as the field wants it.
    """
    stated = take_apart(document, loc, raw, default, offset)
    value_loc = (*loc, "is") if isinstance(raw, dict) else loc
    domain, note = _domain(document, value_loc, stated, field)
    weak = stated.origin in WEAK
    hearsay = stated.origin is Origin.SAID and not field.said_clears
    known = domain is not None and not weak and not hearsay
    return Leaf(
        path=path,
        domain=domain if known and domain is not None else field.widest,
        dimension=field.dimension,
        origin=stated.origin if domain is not None else Origin.NOT_STATED,
        known=known,
        text=raw if isinstance(raw, str) else stated.value,
        spot=document.inside(loc, offset) if offset else document.spot(loc),
        at=stated.at,
        state=stated.state,
        by=stated.by,
        hint=domain if weak else None,
        word=domain if hearsay else None,
        source="" if known else field.bounds_source,
        note="; ".join(each for each in (note, stated.note) if each),
        asked=domain is None,
    )


def unstated(path: str, field: Field, spot: Spot | None = None) -> Leaf:
    """The leaf of a field that nobody mentioned: the widest range its form allows."""
    return Leaf(path, field.widest, field.dimension, source=field.bounds_source, spot=spot)


def _domain(document: Document, loc: Loc, stated: Stated, field: Field) -> tuple[Domain | None, str]:
    text = stated.value
    if text.replace("’", "'").casefold() in NOT_KNOWN:
        return None, ""
    if field.options:
        return _choice(document, loc, stated, field), ""
    if field.dimension == "count":
        return _count(document, loc, stated, field), ""
    try:
        written = parse(text, field.dimension)
    except NotUnderstood as fault:
        hint = "it could be " + " or ".join(fault.readings) if fault.readings else ""
        spot = document.inside(loc, stated.offset + fault.offset)
        raise NotAStatement(Problem(spot, dotted(loc), fault.expected, fault.found, hint)) from None
    if written is None:
        return None, ""
    return _within(document, loc, stated, written.domain, field), written.note


MAY_BE_NOUGHT = ("length", "time", "temperature")
"""What can be nothing at all (a fuse on the post itself), though what nobody stated is taken to be more."""


def _within(document: Document, loc: Loc, stated: Stated, domain: Span, field: Field) -> Span:
    """Close an open end ("at least") by the field's bounds; an end that was stated is never changed."""
    bounds = field.bounds
    never_nought = bounds is not None and bounds.lo > 0 and field.dimension not in MAY_BE_NOUGHT
    if never_nought and math.isfinite(domain.lo) and domain.lo <= 0:
        expected = f"{dimension_named(field.dimension).words} above 0, or 'unknown'"
        raise NotAStatement(problem(document, loc, expected, stated.value, offset=stated.offset))
    if bounds is None or (math.isfinite(domain.lo) and math.isfinite(domain.hi)):
        return domain
    low = domain.lo if math.isfinite(domain.lo) else bounds.lo
    high = domain.hi if math.isfinite(domain.hi) else bounds.hi
    if low > high:
        end, taken = ("upper", bounds.hi) if math.isinf(domain.hi) else ("lower", bounds.lo)
        value = format_value(taken, field.dimension)
        expected = f"both ends of the range (the open {end} end would be taken as {value})"
        raise NotAStatement(problem(document, loc, expected, stated.value, offset=stated.offset))
    return Span(low, high)


def _choice(document: Document, loc: Loc, stated: Stated, field: Field) -> Choice:
    plain = {_plain(option): option for option in field.options}
    chosen, start = set(), 0
    for mark in [*_OR.finditer(stated.value), None]:
        word = stated.value[start : mark.start() if mark else None]
        if _plain(word) not in plain:
            expected = "one of " + ", ".join(field.options)
            hint = did_you_mean(word, field.options)
            at = stated.offset + start
            raise NotAStatement(problem(document, loc, expected, word, hint, offset=at))
        chosen.add(plain[_plain(word)])
        start = mark.end() if mark else start
    return Choice(frozenset(chosen))


def _plain(word: str) -> str:
    return word.strip().replace("_", " ").casefold()


def _count(document: Document, loc: Loc, stated: Stated, field: Field) -> Span:
    match = _COUNT.fullmatch(stated.value)
    if match is None:
        expected = "a whole number, such as 2 or 2..4"
        raise NotAStatement(problem(document, loc, expected, stated.value, offset=stated.offset))
    low, high = int(match[1]), int(match[2] or match[1])
    if high < low:
        expected = "the smaller number first"
        raise NotAStatement(problem(document, loc, expected, stated.value, offset=stated.offset))
    if field.bounds is not None and low == 0 < field.bounds.lo:
        expected = "a whole number above 0; leave out what is not there"
        raise NotAStatement(problem(document, loc, expected, stated.value, offset=stated.offset))
    return Span(float(low), float(high))
