"""The review as text for a person with a torch: safety first, then what is wrong, then what to check next.

The first screen after ten facts stays within 40 lines of 80 columns.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from ringout import __version__
from ringout.report.wording import wording
from ringout.review.finding import DANGER, Finding
from ringout.review.needs import Need
from ringout.review.review import Review
from ringout.rulebase.load import digest

WIDTH = 80
HEADLINES = 12
"""Most findings shown, dangers excepted: those are all shown. The rest are counted."""
ROWS, LEAST_ROWS = 7, 3
"""Most things to fetch that are asked for at once, and the fewest."""
SCREEN = 40
"""Lines of a screen."""


def text(review: Review) -> str:
    """The whole page; where nothing is found yet, with as many questions as fit on one screen."""
    for rows in range(ROWS, LEAST_ROWS, -1):
        page = list(_lines(review, rows))
        if review.found or len(page) <= SCREEN:
            break
    return "\n".join(page) + "\n"


def _lines(review: Review, most: int) -> Iterator[str]:
    """The page with at most so many things to find out. Danger first: found, then open, then all the rest."""
    yield from _head(review)
    found, needs = grouped(review.found), gathered(review.needs)
    unsafe = [rows for rows in needs if rows[0].cls <= DANGER]
    rest = [rows for rows in needs if rows[0].cls > DANGER]
    dangers = [each for each in found if each[0].cls <= DANGER]
    # What bears on the complaint keeps two of the rows, however much is not shown to be safe.
    room = most - min(2, sum(row[0].explains for row in rest))
    yield ""
    yield from _wrap(_first(len(dangers), len(unsafe)))
    shown = found[: max(HEADLINES, len(dangers))]
    yield from _wrong(shown[: len(dangers)], 1)
    number = len(dangers) + 1
    yield from _open("NOT SHOWN TO BE SAFE: check first", unsafe, room, number)
    number += min(room, len(unsafe))
    yield from _wrong(shown[len(dangers) :], number)
    number += len(shown) - len(dangers)
    if len(found) > len(shown):
        yield f"   and {len(found) - len(shown)} lesser ones; --format json lists them all"
    yield from _open("NOT KNOWN YET: check next", rest, most - min(room, len(unsafe)), number)
    yield from _complaints(review)
    yield from _right(review)
    yield ""
    yield from _wrap(wording().deferral)


def _wrong(groups: Sequence[list[Finding]], number: int) -> Iterator[str]:
    """Found faults under the heading of their class, numbered on from `number`."""
    cls = 0
    for place, group in enumerate(groups):
        if group[0].cls != cls:
            cls = group[0].cls
            yield ""
            yield f"WRONG: {wording().classes[str(cls)]}"
        yield from _finding(number + place, group)


def _open(heading: str, rows: Sequence[list[Need]], room: int, number: int) -> Iterator[str]:
    """What is not known under its heading: as many rows as there is room for, and how many more there are."""
    if rows:
        yield ""
        yield heading
    for place, row in enumerate(rows[:room]):
        yield from _need(number + place, row)
    if len(rows) > room:
        yield f"   and {_count(len(rows) - room, 'more thing')} to find out, once these are known"


def grouped(found: Sequence[Finding]) -> list[list[Finding]]:
    """Findings of one rule and class as one headline, in the order of the gravest."""
    groups: dict[tuple[str, int], list[Finding]] = {}
    for finding in found:
        groups.setdefault((finding.rule.name, finding.cls), []).append(finding)
    return list(groups.values())


def gathered(needs: Sequence[Need]) -> list[list[Need]]:
    """Needs that settle the same rules about several parts as one row."""
    rows: dict[tuple[str, ...], list[Need]] = {}
    for need in needs:
        rows.setdefault(tuple(sorted({each.rule.name for each in need.opens})), []).append(need)
    return list(rows.values())


def _head(review: Review) -> Iterator[str]:
    file = review.case.document.file.rsplit("/", 1)[-1]
    engine = f"{review.chained.engine} engine, ringout {__version__}, rules {digest()}"
    yield from _wrap(f"Review of {file}: {engine}", hang=2)
    yield from _wrap(review.case.title + (", an invented installation" if review.case.frame.invented else ""))
    for complaint in review.case.complaints.values():
        yield from _wrap(f'Complaint: "{complaint.says}"', hang=2)


def _first(dangers: int, unsafe: int) -> str:
    parts = []
    if dangers:
        which = f"numbers 1 to {dangers}" if dangers > 1 else "number 1"
        parts.append(f"{_count(dangers, 'thing')} wrong that can hurt someone: see to {which} first.")
    if unsafe:
        parts.append(f"{_count(unsafe, 'thing')} not shown to be safe. Not known is not the same as fine.")
    return " ".join(parts) or "Nothing that can hurt someone was found, and nothing of the sort is left open."


def _finding(number: int, group: list[Finding]) -> Iterator[str]:
    finding = group[0]
    yield from _wrap(finding.title, first=f"{number:2} ")
    yield from _wrap(finding.seen + _also(group), first="   seen   ", hang=10)
    yield from _wrap(finding.means, first="   means  ", hang=10)
    for each in _beneath(finding):
        yield from _wrap(each.title + ": " + each.seen, first="   so     ", hang=10)
    yield from _wrap(finding.do + _who(finding), first="   do     ", hang=10)
    yield from _wrap(finding.prove, first="   proof  ", hang=10)


def _beneath(finding: Finding) -> Iterator[Finding]:
    """All that follows from a finding, nearest first."""
    for each in finding.beneath:
        yield each
        yield from _beneath(each)


def _also(group: list[Finding]) -> str:
    others = list(dict.fromkeys(each.about for each in group[1:]))
    return f" The same at {', '.join(others)}." if others else ""


def _who(finding: Finding) -> str:
    who = wording().who[finding.text.who]
    return f" {wording().mains_deferral}" if finding.text.mains else f" Work for {who}."


def _need(number: int, row: list[Need]) -> Iterator[str]:
    need = row[0]
    first = need.opens[0]
    titles = need.settles
    shown = "; ".join(titles[:2]) + (f"; and {len(titles) - 2} more" if len(titles) > 2 else "")
    others = list(dict.fromkeys(each.opens[0].about for each in row[1:]))
    if others:
        shown += f" (and {', '.join(others)})"
    yield from _wrap(shown, first=f"{number:2} ")
    yield from _wrap(first.settle or need.ask, first="   check  ", hang=10)


def _complaints(review: Review) -> Iterator[str]:
    for complaint in review.complaints:
        # Causes come worst first: what is supported at one part is not ruled out by another being right.
        standings: dict[str, str] = {}
        for cause in complaint.causes:
            standings.setdefault(cause.title, cause.standing)
        if not standings:
            continue
        yield ""
        if set(standings.values()) == {"open"}:
            count = _count(len(standings), "possible cause")
            yield from _wrap(f'"{complaint.says}": {count}, none settled yet; the checks above tell.', hang=3)
            continue
        yield from _wrap(f'WHAT COULD EXPLAIN "{complaint.says}"')
        for standing in ("supported", "open", "ruled out"):
            titles = [title for title, its in standings.items() if its == standing]
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
    indent = " " * hang if first or hang != 3 else ""
    # Names of files and rules stay whole.
    return textwrap.wrap(words, WIDTH, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False)
