"""The review as text for a person with a torch: safety first, then what is wrong, then what to check next.

The first screen after ten facts stays within 40 lines of 80 columns.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from ringout import __version__
from ringout.facts.unused import told
from ringout.kept import digest
from ringout.report.view import (
    ROWS,
    Headline,
    Row,
    Rows,
    consequences,
    counted,
    deferral,
    gathered,
    grouped,
    in_doubt,
    only_said,
    same_at,
    standings,
    undrawn,
    view,
)
from ringout.report.wording import wording
from ringout.review.finding import Finding
from ringout.review.review import Review

__all__ = ["gathered", "grouped", "text"]

WIDTH = 80
LEAST_ROWS = 3
"""Fewest things to find out that are asked for at once."""
CHANGED = "As found. Changes came after it: `ringout compare` shows what they settled."
SCREEN = 40
"""Lines of a screen."""
KINDS = 12
"""Kinds of part not looked for that are named, those with the gravest faults first; the rest are counted."""


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
    shown = view(review, most)
    yield ""
    yield from _wrap(shown.first)
    yield from _wrong(review, shown.dangers)
    yield from _open("NOT SHOWN TO BE SAFE: check first", shown.unsafe)
    yield from _wrong(review, shown.faults)
    if shown.lesser:
        yield f"   and {counted(shown.lesser, 'lesser thing')}; --format json lists all"
    yield from _open("NOT KNOWN YET: check next", shown.rest)
    yield from _complaints(review)
    yield from _right(review)
    yield ""
    yield from _wrap(wording().deferral)


def _wrong(review: Review, headlines: Sequence[Headline]) -> Iterator[str]:
    """Found faults under the heading of their class."""
    cls = 0
    for headline in headlines:
        if headline.finding.cls != cls:
            cls = headline.finding.cls
            yield ""
            yield f"WRONG: {wording().classes[str(cls)]}"
        yield from _finding(review, headline)


def _open(heading: str, rows: Rows) -> Iterator[str]:
    """What is not known under its heading, and how much more there is."""
    if rows.shown or rows.more:
        yield ""
        yield heading
    for row in rows.shown:
        yield from _need(row)
    if rows.more:
        yield f"   and {counted(rows.more, 'more thing')} to find out, once these are known"


def _head(review: Review) -> Iterator[str]:
    file = review.case.document.file.rsplit("/", 1)[-1]
    engine = f"{review.chained.engine} engine, ringout {__version__}, rules {digest()}"
    yield from _wrap(f"Review of {file}: {engine}", hang=2)
    yield from _wrap(review.case.title + (", an invented installation" if review.case.frame.invented else ""))
    for says in dict.fromkeys(complaint.says for complaint in review.case.complaints.values()):
        yield from _wrap(f'Complaint: "{says}"', hang=2)
    if review.case.frame.changed:
        yield from _wrap(CHANGED, hang=2)


def _finding(review: Review, headline: Headline) -> Iterator[str]:
    finding = headline.finding
    yield from _wrap(finding.title, first=f"{headline.number:2} ")
    yield from _wrap(finding.seen + same_at(headline) + _assumed(finding), first="   seen   ", hang=10)
    yield from _wrap(finding.means, first="   means  ", hang=10)
    for each in consequences(finding):
        label, words = ("read", each.seen) if each.text.confirms else ("so", f"{each.title}: {each.seen}")
        yield from _wrap(words, first=f"   {label:7}", hang=10)
    yield from _wrap(finding.do + _who(review, finding), first="   do     ", hang=10)
    yield from _wrap(finding.prove, first="   proof  ", hang=10)


def _assumed(finding: Finding) -> str:
    assumed = f" Partly assumed: {', '.join(leaf.path for leaf in finding.assumed)}." if finding.assumed else ""
    told = [only_said(finding).rstrip(), in_doubt(finding)]
    return assumed + "".join(f" {each}" for each in told if each)


def _who(review: Review, finding: Finding) -> str:
    """Who may do it, and to whose rules the task defers."""
    who = "" if finding.text.mains else f" Work for {wording().who[finding.text.who]}."
    defers = deferral(review.case, finding)
    return who + (f" {defers}" if defers else "")


def _need(row: Row) -> Iterator[str]:
    yield from _wrap(row.settles, first=f"{row.number:2} ")
    yield from _wrap(row.check, first="   check  ", hang=10)


def _complaints(review: Review) -> Iterator[str]:
    for complaint in review.complaints:
        causes = standings(complaint)
        if not causes:
            continue
        yield ""
        if list(causes) == ["open"]:
            count = counted(len(causes["open"]), "possible cause")
            yield from _wrap(f'"{complaint.says}": {count}, none settled yet; the checks above tell.', hang=3)
            continue
        yield from _wrap(f'WHAT COULD EXPLAIN "{complaint.says}"')
        for standing, titles in causes.items():
            yield from _wrap("; ".join(titles), first=f"   {standing}: ", hang=6)


def _right(review: Review) -> Iterator[str]:
    if review.right:
        yield ""
        areas = wording().areas
        listed = ", ".join(f"{areas[area]} {len(names)}" for area, names in review.right.items())
        yield from _wrap(f"RIGHT, as far as it was looked at: {listed}.", hang=3)
    if loose := undrawn(review):
        yield from _wrap(f"NOT DRAWN: nothing says what these are wired to: {', '.join(loose)}.", hang=3)
    if review.not_inspected:
        names = [kind.replace("_", " ") for kind in review.not_inspected]
        more = f" and others ({len(names) - KINDS})" if len(names) > KINDS else ""
        yield from _wrap(f"NOT LOOKED FOR: {', '.join(names[:KINDS])}{more}.", hang=3)
    if review.unused:
        yield from _wrap(f"READINGS NOT USED: {told(review.unused)}.", hang=3)


def _wrap(words: str, first: str = "", hang: int = 3) -> list[str]:
    indent = " " * hang if first or hang != 3 else ""
    # Names of files and rules stay whole.
    return textwrap.wrap(words, WIDTH, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False)
