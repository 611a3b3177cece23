"""`ringout why`: the proof of a verdict."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from ringout.case.load import load
from ringout.report.why import listing, why
from ringout.review.engines import NoSuchEngine
from ringout.review.review import review
from ringout.text.problem import Unusable, did_you_mean


def run(args: argparse.Namespace) -> int:
    """Status 0 where the verdict is shown, 2 where the file, the rule or the part is not to be found."""
    try:
        made = review(load(Path(args.case)), args.engine)
    except (Unusable, NoSuchEngine) as fault:
        print(fault, file=sys.stderr)
        return 2
    if not args.rule:
        print(listing(made), end="")
        return 0
    said = [each for each in made.chained.said if each.rule.name == args.rule]
    if not said:
        names = {each.rule.name for each in made.chained.said}
        return _refuse("a rule with a verdict in this case", args.rule, did_you_mean(args.rule, names))
    if args.about:
        have = {key for each in said for key in each.anchor.keys.values()}
        said = [each for each in said if args.about in each.anchor.keys.values()]
        if not said:
            return _refuse("one of " + ", ".join(sorted(have)), args.about, did_you_mean(args.about, have))
    print("\n".join(why(made, each) for each in said), end="")
    return 0


def _refuse(expected: str, found: str, hint: str) -> int:
    print(
        f"ringout why: expected {expected}, found '{found}'" + (f"; {hint}" if hint else ""), file=sys.stderr
    )
    return 2
