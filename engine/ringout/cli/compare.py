"""`ringout compare`: what became of each finding between two cases, or two stages of one."""

from __future__ import annotations

import argparse
import json
import sys
import textwrap
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from ringout import __version__
from ringout.case.load import load
from ringout.kept import digest
from ringout.plan.compare import Change, Comparison, Standing, compare
from ringout.plan.stages import as_left
from ringout.plan.written import Unfit
from ringout.report.json import VERDICT
from ringout.report.wording import wording
from ringout.review.engines import NoSuchEngine
from ringout.review.review import Review, review
from ringout.text.problem import Unusable

WIDTH = 80
LISTS = {
    "new": "NEW: wrong now, and not before",
    "now_known": "ONLY KNOWN NOW: wrong now, not known before",
    "still": "STILL WRONG",
    "unsettled": "NOT SHOWN TO BE GONE: wrong before, not known now",
    "gone": "GONE",
    "opened": "NOT KNOWN NOW: to be checked, settled or not there before",
}
"""The lists of a comparison in the order in which a person needs them, with their headings."""
ABSENT = "absent"


def run(args: argparse.Namespace) -> int:
    """Status 0 where nothing of the asked class is new, 1 where something is, 2 for a file of no use."""
    try:
        one = load(Path(args.before))
        other = load(Path(args.after)) if args.after else as_left(one)
        before, after = review(one, args.engine), review(other, args.engine)
    except (Unusable, NoSuchEngine) as fault:
        print(fault, file=sys.stderr)
        return 2
    except Unfit as fault:
        expected = "a second case file, or changes in the first"
        print(f"ringout compare: {args.before}: expected {expected}, but {fault}", file=sys.stderr)
        return 2
    made = compare(before, after)
    if args.format == "json":
        print(json.dumps(as_json(before, after, made), indent=1, ensure_ascii=False))
    else:
        print("\n".join(_lines(before, after, made)))
    return 1 if any(each.cls <= args.least for each in made.new) else 0


def as_json(before: Review, after: Review, made: Comparison) -> dict[str, Any]:
    """The comparison for other programs. Verdicts in the words of `review --format json`, or `absent`."""
    return {
        "version": 1,
        "ringout": __version__,
        "rulebase": digest(),
        "engine": after.chained.engine,
        "before": _case(before),
        "after": _case(after),
        **{name: [_change(each) for each in getattr(made, name)] for name in LISTS},
        "changed_class": [_change(each) for each in made.changed],
    }


def _case(of: Review) -> dict[str, str]:
    return {"file": of.case.document.file, "title": of.case.title}


def _change(change: Change) -> dict[str, Any]:
    rule, about = change.identity
    return {
        "rule": rule,
        "about": list(about),
        "title": change.title,
        "before": _standing(change.before),
        "after": _standing(change.after),
    }


def _standing(standing: Standing) -> dict[str, Any]:
    verdict = VERDICT[standing.verdict] if standing.verdict is not None else ABSENT
    return {"verdict": verdict, "class": standing.cls}


def _lines(before: Review, after: Review, made: Comparison) -> Iterator[str]:
    yield from _wrap(f"Before: {_name(before)}", hang=8)
    yield from _wrap(f"After:  {_name(after)}", hang=8)
    counts = ", ".join(
        f"{len(each)} {words}"
        for words, each in (("gone", made.gone), ("new", made.new), ("only known now", made.now_known),
                            ("still wrong", made.still), ("not shown to be gone", made.unsettled))
    )  # fmt: skip
    yield from _wrap(f"{counts}.")
    for name, heading in LISTS.items():
        yield from _list(heading, getattr(made, name))
    yield ""
    yield from _wrap(wording().deferral)


def _list(heading: str, changes: Sequence[Change]) -> Iterator[str]:
    if not changes:
        return
    yield ""
    yield heading
    for each in changes:
        yield from _wrap(f"{each.title} ({each.about}): {_how(each)}", first=" - ", hang=3)


def _how(change: Change) -> str:
    """The class, with what it was where that is another, and for what is gone how it stands now."""
    was, now = change.before.cls, change.after.cls
    if now is None:
        return f"was class {was}, now {change.after.words}"
    return f"class {now}, was {was}" if was not in (None, now) else f"class {now}"


def _name(of: Review) -> str:
    return f"{of.case.document.file.rsplit('/', 1)[-1]}, {of.case.title}"


def _wrap(words: str, first: str = "", hang: int = 0) -> list[str]:
    return textwrap.wrap(words, WIDTH, initial_indent=first, subsequent_indent=" " * hang)
