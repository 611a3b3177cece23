"""`ringout why`: the proof of a verdict, and what would change if a fact were another one."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from ringout.case.load import load
from ringout.inference.chain import ORDER, Said, Verdict
from ringout.report.why import listing, why
from ringout.review.engines import NoSuchEngine
from ringout.review.review import Review, review
from ringout.review.words import part_name
from ringout.text.problem import Unusable, did_you_mean


def run(args: argparse.Namespace) -> int:
    """Status 0 where the verdict is shown, 2 where the file, the rule, the part or a setting is of no use."""
    try:
        made = review(load(Path(args.case)), args.engine)
    except (Unusable, NoSuchEngine) as fault:
        print(fault, file=sys.stderr)
        return 2
    said: list[Said] = []
    if args.rule:
        said = [each for each in made.chained.said if each.rule.name == args.rule]
        if not said:
            names = {each.rule.name for each in made.chained.said}
            return _refuse("a rule with a verdict in this case", args.rule, did_you_mean(args.rule, names))
    if args.about:
        have = {key for each in said for key in each.anchor.keys.values()}
        said = [each for each in said if _is_about(made, each, args.about)]
        if not said:
            return _refuse("one of " + ", ".join(sorted(have)), args.about, did_you_mean(args.about, have))
    said.sort(key=lambda each: ORDER.index(each.verdict))
    if args.what_if:
        return _what_if(made, said, args.what_if)
    print(_proofs(made, said, bool(args.about)) if said else listing(made), end="")
    return 0


def _is_about(made: Review, said: Said, about: str) -> bool:
    """Whether a verdict is about a part, named as in the file or as it is printed."""
    keys = said.anchor.keys.values()
    return about in keys or about in {part_name(made.case, key) for key in keys}


def _proofs(made: Review, said: list[Said], named: bool) -> str:
    """The proofs, worst first. Where the rule applies to some parts, the others are only named."""
    applies = [each for each in said if each.verdict is not Verdict.DOES_NOT_APPLY]
    shown = said if named or not applies else applies
    pages = [why(made, each) for each in shown]
    if len(shown) < len(said):
        others = [
            ", ".join(part_name(made.case, key) for key in each.anchor.keys.values())
            for each in said
            if each not in shown
        ]
        pages.append(f"It does not apply for: {'; '.join(others)}.\n")
    return "\n".join(pages)


def _what_if(made: Review, said: list[Said], pairs: list[str]) -> int:
    # Only here: most proofs need no plan.
    from ringout.cli.what_if import changes
    from ringout.plan.what_if import NotSet, what_if

    settings = {}
    for pair in pairs:
        path, equals, value = pair.partition("=")
        if not equals or not path.strip() or not value.strip():
            return _refuse("PATH=VALUE, such as house.chemistry=LFP, behind --what-if", pair, "")
        settings[path.strip()] = value.strip()
    try:
        after = review(what_if(made.case, settings), made.chained.engine)
    except NotSet as fault:
        print(f"ringout why: --what-if {fault}", file=sys.stderr)
        return 2
    print("\n".join(changes(made, after, settings, said)))
    return 0


def _refuse(expected: str, found: str, hint: str) -> int:
    print(
        f"ringout why: expected {expected}, found '{found}'" + (f"; {hint}" if hint else ""), file=sys.stderr
    )
    return 2
