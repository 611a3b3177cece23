"""The review as text for a person with a torch: safety first, then what is wrong, then what to check next.

The first screen after ten facts stays within 40 lines of 80 columns.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from ringout import __version__
from ringout.report.wording import wording
from ringout.review.finding import Finding
from ringout.review.needs import Need
from ringout.review.review import Review
from ringout.rulebase.load import digest

WIDTH = 80
HEADLINES = 12
"""Most findings shown; the rest are counted."""
ROWS = 7
"""Most things to fetch that are asked for at once."""
DANGER = 2
"""From this class up an open question is a thing not shown to be safe."""


def text(review: Review) -> str:
    """The whole page."""
    return "\n".join(_lines(review)) + "\n"


def _lines(review: Review) -> Iterator[str]:
    yield from _head(review)
    unsafe = [need for need in review.needs if need.cls <= DANGER][:ROWS]
    dangers = [each for each in review.found if each.cls <= DANGER]
    yield ""
    yield from _wrap(_first(dangers, unsafe))
    number = 0
    if review.found:
        yield ""
        yield "WRONG"
        for finding in review.found[:HEADLINES]:
            number += 1
            yield from _finding(number, finding)
        if len(review.found) > HEADLINES:
            yield f"   and {len(review.found) - HEADLINES} lesser ones; --format json lists them all"
    if unsafe:
        yield ""
        yield "NOT SHOWN TO BE SAFE: check first"
        for need in unsafe:
            number += 1
            yield from _need(number, need)
    rest = [need for need in review.needs if need.cls > DANGER]
    room = ROWS - len(unsafe)
    if rest:
        yield ""
        yield "NOT KNOWN YET: check next" if room > 0 else "NOT KNOWN YET"
        for need in rest[:room]:
            number += 1
            yield from _need(number, need)
        left = sum(len(need.settles) for need in rest[room:])
        if len(rest) > room:
            yield f"   and {len(rest) - room} more things to find out, which would settle {left}"
    yield from _complaints(review)
    yield from _right(review)
    yield ""
    yield from _wrap(wording().deferral)


def _head(review: Review) -> Iterator[str]:
    file = review.case.document.file.rsplit("/", 1)[-1]
    yield from _wrap(f"{file}: {review.case.title} ({review.chained.engine} engine, ringout {__version__}, rules {digest()})")
    for complaint in review.case.complaints.values():
        yield from _wrap(f'Complaint: "{complaint.says}"', hang=2)
    if review.case.frame.invented:
        yield "An invented installation."


def _first(dangers: list[Finding], unsafe: list[Need]) -> str:
    parts = []
    if dangers:
        parts.append(f"{_count(len(dangers), 'thing')} wrong that can hurt someone: see to {_these(dangers)} first.")
    if unsafe:
        parts.append(f"{_count(len(unsafe), 'thing')} not shown to be safe. Not known is not the same as fine.")
    return " ".join(parts) or "Nothing that can hurt someone was found, and nothing of that sort is left open."


def _these(dangers: list[Finding]) -> str:
    return f"numbers 1 to {len(dangers)}" if len(dangers) > 1 else "number 1"


def _finding(number: int, finding: Finding) -> Iterator[str]:
    label = f"{number:2} "
    yield from _wrap(f"{finding.title} [{finding.cls}]", first=label)
    yield from _wrap(finding.seen + _more(finding), first="   seen   ", hang=10)
    yield from _wrap(finding.means, first="   means  ", hang=10)
    for each in finding.beneath:
        yield from _wrap(each.title + ": " + each.seen, first="   so     ", hang=10)
    yield from _wrap(finding.do + _who(finding), first="   do     ", hang=10)
    yield from _wrap(finding.prove, first="   proof  ", hang=10)


def _more(finding: Finding) -> str:
    return f" ({finding.more} more like it)" if finding.more else ""


def _who(finding: Finding) -> str:
    who = wording().who[finding.text.who]
    return f" {wording().mains_deferral}" if finding.text.mains else f" Work for {who}."


def _need(number: int, need: Need) -> Iterator[str]:
    own = [each.settle for each in need.opens if each.settle]
    ask = own[0] if len(set(own)) == 1 and own else need.ask
    titles = need.settles
    shown = "; ".join(titles[:2]) + (f"; and {len(titles) - 2} more" if len(titles) > 2 else "")
    yield from _wrap(shown, first=f"{number:2} ")
    yield from _wrap(ask, first="   check  ", hang=10)


def _complaints(review: Review) -> Iterator[str]:
    for complaint in review.complaints:
        if not complaint.causes:
            continue
        yield ""
        yield from _wrap(f'WHAT COULD EXPLAIN "{complaint.says}"')
        for standing in ("supported", "open", "ruled out"):
            titles = list(dict.fromkeys(cause.title for cause in complaint.causes if cause.standing == standing))
            if titles:
                yield from _wrap("; ".join(titles), first=f"   {standing}: ", hang=6)


def _right(review: Review) -> Iterator[str]:
    if review.right:
        yield ""
        areas = wording().areas
        listed = ", ".join(f"{areas[area]} {len(names)}" for area, names in review.right.items())
        yield from _wrap(f"RIGHT, as far as it was looked at: {listed}.", hang=3)
    if review.not_inspected:
        names = ", ".join(kind.replace("_", " ") for kind in review.not_inspected)
        yield from _wrap(f"NOT LOOKED FOR: {names}.", hang=3)


def _count(n: int, word: str) -> str:
    return f"{n} {word}" + ("s" if n != 1 else "")


def _wrap(words: str, first: str = "", hang: int = 3) -> list[str]:
    return textwrap.wrap(
        words, WIDTH, initial_indent=first, subsequent_indent=" " * hang if first or hang != 3 else ""
    )
