"""One statement as written: a value, where it comes from, when, and in which state.

Short: ``300 A (label)``, ``LFP (said)``, ``14.2 V (measured 2026-05-03 11:10)``, ``unknown``.
Long: a mapping with `is`, `from`, `at`, `state`, `by`, `note`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from ringout.case.form import Field
from ringout.quantity.leaf import WEAK, Leaf, Origin
from ringout.quantity.notation import NotUnderstood, parse
from ringout.quantity.span import Choice, Domain, Span
from ringout.text.checked import Loc, dotted, problem, unknown_key
from ringout.text.document import Document
from ringout.text.problem import Problem, Spot, did_you_mean

ORIGINS = ("measured", "seen", "label", "manual", "said", "assumed", "supposed")
NOT_KNOWN = frozenset({"unknown", "not known", "don't know", "dont know", "?"})
_TAIL = re.compile(r"\s*\(([^()]*)\)\s*$")
_LONG = ("is", "from", "at", "state", "by", "note")


@dataclass(frozen=True, slots=True)
class Stated:
    """A statement taken apart; `value` is still text, `offset` its place inside the written text."""

    value: str
    origin: Origin
    at: str = ""
    state: str = ""
    by: str = ""
    note: str = ""


class NotAStatement(Exception):
    """Carries the problem of a statement that cannot be read."""

    def __init__(self, found: Problem) -> None:
        self.problem = found


def take_apart(document: Document, loc: Loc, raw: object, default: Origin = Origin.SEEN) -> Stated:
    """Split a statement into value, origin, time and state. Raises NotAStatement."""
    if isinstance(raw, str):
        tail = _TAIL.search(raw)
        if tail is None:
            return Stated(raw.strip(), default)
        words = tail[1].split(None, 1)
        word = words[0] if words else ""
        if word not in ORIGINS:
            hint = did_you_mean(word, ORIGINS)
            expected = "in the brackets one of " + ", ".join(ORIGINS)
            raise NotAStatement(problem(document, loc, expected, tail[1], hint, offset=tail.start(1)))
        return Stated(raw[: tail.start()].strip(), Origin(word), at=words[1] if len(words) > 1 else "")
    if isinstance(raw, dict):
        for key in raw:
            if key not in _LONG:
                raise NotAStatement(unknown_key(document, (*loc, key), _LONG))
            if not isinstance(raw[key], str):
                raise NotAStatement(problem(document, (*loc, key), "text", raw[key]))
        if "is" not in raw:
            raise NotAStatement(problem(document, loc, "a key 'is'", raw))
        word = raw.get("from", default)
        if word not in ORIGINS:
            expected = "one of " + ", ".join(ORIGINS)
            raise NotAStatement(problem(document, (*loc, "from"), expected, word, did_you_mean(word, ORIGINS)))
        more = {key: raw[key] for key in ("at", "state", "by", "note") if key in raw}
        return Stated(raw["is"].strip(), Origin(word), **more)
    raise NotAStatement(problem(document, loc, "a value", raw))


def leaf(document: Document, loc: Loc, raw: object, field: Field, path: str, default: Origin = Origin.SEEN) -> Leaf:
    """The leaf a statement makes: what may be relied on, or a hint where it is only assumed or supposed.

    Raises NotAStatement when the value cannot be read as the field wants it.
    """
    stated = take_apart(document, loc, raw, default)
    value_loc = (*loc, "is") if isinstance(raw, dict) else loc
    domain, note = _domain(document, value_loc, stated.value, field)
    weak = stated.origin in WEAK
    known = domain is not None and not weak
    return Leaf(
        path=path,
        domain=domain if known and domain is not None else field.widest,
        dimension=field.dimension,
        origin=stated.origin if domain is not None else Origin.NOT_STATED,
        known=known,
        text=raw if isinstance(raw, str) else stated.value,
        spot=document.spot(loc),
        at=stated.at,
        state=stated.state,
        by=stated.by,
        hint=domain if weak else None,
        source="" if known else field.bounds_source,
        note="; ".join(each for each in (note, stated.note) if each),
        asked=domain is None,
    )


def unstated(path: str, field: Field, spot: Spot | None = None) -> Leaf:
    """The leaf of a field that nobody mentioned: the widest range its form allows."""
    return Leaf(path, field.widest, field.dimension, source=field.bounds_source, spot=spot)


def _domain(document: Document, loc: Loc, text: str, field: Field) -> tuple[Domain | None, str]:
    if text in NOT_KNOWN:
        return None, ""
    if field.options:
        return _choice(document, loc, text, field), ""
    if field.dimension == "count":
        return _count(document, loc, text), ""
    try:
        written = parse(text, field.dimension)
    except NotUnderstood as fault:
        hint = "it could be " + " or ".join(fault.readings) if fault.readings else ""
        spot = document.inside(loc, fault.offset)
        raise NotAStatement(Problem(spot, dotted(loc), fault.expected, fault.found, hint)) from None
    if written is None:
        return None, ""
    return _within(document, loc, text, written.domain, field), written.note


def _within(document: Document, loc: Loc, text: str, domain: Span, field: Field) -> Span:
    """Close an open end ("at least") by the field's bounds; a finite value is never changed."""
    bounds = field.bounds
    if bounds is None or (abs(domain.lo) < float("inf") and abs(domain.hi) < float("inf")):
        return domain
    low, high = max(domain.lo, bounds.lo), min(domain.hi, bounds.hi)
    if low > high:
        raise NotAStatement(problem(document, loc, "a value that the open end can reach", text, "write both ends"))
    return Span(low, high)


def _choice(document: Document, loc: Loc, text: str, field: Field) -> Choice:
    plain = {_plain(option): option for option in field.options}
    chosen = set()
    for word in re.split(r"\s*\|\s*|\s+or\s+", text):
        if _plain(word) not in plain:
            hint = did_you_mean(word, field.options)
            raise NotAStatement(problem(document, loc, "one of " + ", ".join(field.options), word, hint))
        chosen.add(plain[_plain(word)])
    return Choice(frozenset(chosen))


def _plain(word: str) -> str:
    return word.strip().replace("_", " ").casefold()


def _count(document: Document, loc: Loc, text: str) -> Span:
    low, _, high = text.partition("..")
    if not (low.isascii() and low.isdigit() and (not high or (high.isascii() and high.isdigit()))):
        raise NotAStatement(problem(document, loc, "a whole number, such as 2 or 2..4", text))
    if high and int(high) < int(low):
        raise NotAStatement(problem(document, loc, "the smaller number first", text))
    return Span(float(low), float(high or low))
