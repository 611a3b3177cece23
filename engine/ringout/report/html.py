"""The review as one page for a screen, a phone or A4 paper. It needs nothing outside it and runs no script.

What stands on the page is decided in `view`, what stands in its annex in `annex`; templates lie in `pages`.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator, Sequence
from hashlib import sha256
from itertools import groupby
from pathlib import Path

from ringout import __version__
from ringout.facts.unused import told
from ringout.kept import digest
from ringout.report.annex import annex
from ringout.report.view import (
    Headline,
    View,
    cautions,
    consequences,
    deferral,
    in_doubt,
    only_said,
    same_at,
    standings,
    undrawn,
    view,
    where,
)
from ringout.report.wording import wording
from ringout.review.review import Review

PAGES = Path(__file__).with_name("pages")
NOT_SAFE = "Not shown to be safe: check first"
NOT_KNOWN = "Not known yet: check next"
TITLE = 60
"""Characters of a case's title at the foot of each sheet."""


def html(review: Review) -> str:
    """The whole page, in ASCII. Every text of the case is data: the templates escape it."""
    # A heavy library that only this command needs.
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    pages = Environment(
        loader=FileSystemLoader(PAGES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    look = pages.get_template("look.css.j2").render(title=css_text(review.case.title[:TITLE]))
    shown = view(review)
    page = pages.get_template("review.html.j2").render(
        look=look,
        # The page forbids itself everything but this very style sheet, so nothing that slipped in could act.
        policy=f"default-src 'none'; style-src 'sha256-{b64encode(sha256(look.encode()).digest()).decode()}'",
        title=review.case.title,
        invented=review.case.frame.invented,
        head=list(_head(review)),
        shown=shown,
        lines={each.number: list(_lines(review, each)) for each in (*shown.dangers, *shown.faults)},
        complaints=[(each.says, standings(each)) for each in review.complaints],
        right=[(wording().areas[area], len(names)) for area, names in review.right.items()],
        not_used=told(review.unused),
        not_looked_for=[kind.replace("_", " ") for kind in review.not_inspected],
        not_drawn=undrawn(review),
        cautions=cautions(review.case),
        wording=wording(),
        not_safe=NOT_SAFE,
        not_known=NOT_KNOWN,
        annex=annex(review, shown),
        short=list(_short(shown)),
    )
    # The same page whatever the encoding of the terminal or file that it is sent to.
    return page.encode("ascii", "xmlcharrefreplace").decode("ascii")


def css_text(words: str) -> str:
    """Words for the inside of a quoted CSS string: all but plain letters and digits as codes."""
    return "".join(x if x.isascii() and x.isalnum() else f"\\{ord(x):x} " for x in words)


def _head(review: Review) -> Iterator[tuple[str, str]]:
    frame = review.case.frame
    for complaint in review.case.complaints.values():
        yield "Complaint", f'"{complaint.says}"'
    yield "Date of visit", frame.visited or "not stated"
    yield "Scope", frame.scope or "not stated"
    yield "Installation", f"{frame.kind.replace('_', ' ')}, region {frame.region}"
    yield "Case", review.case.document.file.replace("\\", "/").rsplit("/", 1)[-1]
    yield "Reviewed by", f"ringout {__version__}, {review.chained.engine} engine, rules {digest()}"


def _short(shown: View) -> Iterator[tuple[str, list[tuple[int, str]]]]:
    """Everything numbered on the page, a line each, under its heading: seen before the details."""
    yield from _classes(shown.dangers)
    yield NOT_SAFE, [(row.number, row.short) for row in shown.unsafe.shown]
    yield from _classes(shown.faults)
    yield NOT_KNOWN, [(row.number, row.short) for row in shown.rest.shown]


def _classes(headlines: Sequence[Headline]) -> Iterator[tuple[str, list[tuple[int, str]]]]:
    for cls, group in groupby(headlines, key=lambda headline: headline.finding.cls):
        yield f"Wrong: {wording().classes[str(cls)]}", [(each.number, each.finding.title) for each in group]


def _lines(review: Review, headline: Headline) -> Iterator[tuple[str, list[str]]]:
    """The six lines of a finding: a label and its sentences."""
    finding = headline.finding
    yield "where", ["; ".join(dict.fromkeys(where(review.case, each) for each in headline.findings))]
    weak = [f"Partly assumed: {', '.join(leaf.path for leaf in finding.assumed)}."] if finding.assumed else []
    told = [each for each in (only_said(finding).rstrip(), in_doubt(finding)) if each]
    yield "seen", [finding.seen + same_at(headline), *weak, *told]
    so = [
        f"Read: {each.seen}" if each.text.confirms else f"So: {each.title}. {each.seen}"
        for each in consequences(finding)
    ]
    yield "means", [finding.means, *so]
    yield "do", [finding.do]
    who = "" if finding.text.mains else f"Work for {wording().who[finding.text.who]}."
    yield "who", [words for words in (who, deferral(review.case, finding)) if words]
    yield "proof", [finding.prove]
