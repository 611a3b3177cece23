"""`ringout check`: whether a case file can be used, and what it may hold."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

from ringout.case.case import Case
from ringout.case.form import form, part_kinds
from ringout.case.load import load
from ringout.plan.stages import as_left
from ringout.plan.written import Unfit
from ringout.text.problem import Unusable, did_you_mean


def run(args: argparse.Namespace) -> int:
    """Status 0 where the file is usable, 2 where it is not."""
    if args.schema:
        import json

        from ringout.case.schema import case_schema

        print(json.dumps(case_schema(), indent=1))
        return 0
    if args.kinds:
        for kind in part_kinds():
            print(f"{kind:24}{form(kind).words}")
        return 0
    if args.kind:
        return _kind(args.kind)
    if not args.case:
        print("ringout check: expected a case file, or --kinds, --kind KIND, --schema", file=sys.stderr)
        return 2
    try:
        case = load(Path(args.case))
        if case.frame.changed:
            as_left(case)
    except Unusable as fault:
        print(fault, file=sys.stderr)
        return 2
    except Unfit:  # entries that only tell of something, such as a fuse replaced by its like
        pass
    parts, hops, feeds = len(case.parts), len(case.hops), len(case.feeds)
    print(f"{args.case}: usable; {parts} parts, {hops} runs, {feeds} AC feeds, {len(case.readings)} readings")
    for remark in _remarks(case):
        print(remark)
    if case.frame.readings:
        from ringout.facts.gather import gather
        from ringout.facts.unused import told, unused

        if left := told(unused(case, gather(case))):
            print(f"readings not used: {left}")
    return 0


def _remarks(case: Case) -> Iterator[str]:
    """What the file leaves open though it can be used: parts of which nothing says what they are wired to."""
    from ringout.facts.unjoined import unjoined
    from ringout.system.supply import Supply

    for fact in unjoined(case, Supply(case)):
        part, side = case.parts[fact.keys["part"]], WIRED[fact.keys["side"]]
        yield f"{part.spot}: remark: nothing says what '{part.name}' is wired to{side}"


WIRED = {"plus": " on its plus side", "minus": " on its minus side", "both": "", "mains": " on the mains side"}


def _kind(kind: str) -> int:
    if kind not in part_kinds():
        hint = did_you_mean(kind, part_kinds())
        print(
            f"ringout check: expected a kind of part, found '{kind}'" + (f"; {hint}" if hint else ""),
            file=sys.stderr,
        )
        return 2
    its = form(kind)
    print(f"{kind}: {its.words}")
    for name, field in its.fields.items():
        what = (
            ", ".join(field.options)
            or field.dimension
            or (f"names of parts ({field.parts})" if field.parts else "words")
        )
        print(f"  {name:22}{what}")
    return 0
