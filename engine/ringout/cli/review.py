"""`ringout review`: the ranked findings of a case."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from ringout.case.load import load
from ringout.review.engines import NoSuchEngine
from ringout.review.review import Review, review
from ringout.text.problem import Unusable


def _rules(made: Review) -> set[str]:
    return {said.rule.name for said in made.chained.said}


def run(args: argparse.Namespace) -> int:
    """Status 1 where something of the asked class is wrong, 0 where nothing is, 2 for an unusable file."""
    try:
        made = review(load(Path(args.case)), args.engine)
    except (Unusable, NoSuchEngine) as fault:
        print(fault, file=sys.stderr)
        return 2
    if args.format == "json":
        from ringout.plan.remedy import remedies
        from ringout.report.json import as_json

        cures = {rule: [each.remedy for each in remedies() if rule in each.cures] for rule in _rules(made)}
        print(as_json(made, cures))
    elif args.format == "html":
        from ringout.report.html import html

        print(html(made), end="")
    else:
        from ringout.report.text import text

        print(text(made), end="")
    return 1 if any(finding.cls <= args.least for finding in made.found) else 0
