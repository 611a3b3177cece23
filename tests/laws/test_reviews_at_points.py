"""Every verdict holds when everything is found out: each open value put into the case as its own, and all reviewed.

Here the whole review runs again, from the leaves of the case: what a value makes of the wiring, of banks, of which
facts there are at all is worked out anew. (`tests/proof/test_points.py` keeps the facts and computes their numbers.)
Right, does not apply and no verdict at all count as one: not wrong.

Some 100 points in all are tried, spread evenly over the cases. Set RINGOUT_POINTS=2000 for as many a case:

    RINGOUT_POINTS=2000 python -m pytest tests/laws/test_reviews_at_points.py
"""

import os
import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from case_leaves import CASES, draw, found_out, put, to_find_out
from verdicts import NOT_WRONG, NOT_YET, moves, reviewed

from ringout.case.case import Case
from ringout.case.load import load
from ringout.inference.chain import Chained

POINTS = int(os.environ.get("RINGOUT_POINTS", 1 + 100 // len(CASES)))


def at_point(path: Path, seed: int) -> Case:
    """The case with everything found out that is open in it.

    A supposed run is there, or is taken away. A supposed part is there: what the runs that name it would lead to
    without it, no case says.
    """
    by, case = random.Random(f"{path.stem} {seed}"), load(path)
    for part in case.parts.values():
        part.supposed = False
    there = {id: hop for id, hop in case.hops.items() if not hop.supposed or by.random() < 0.5}
    case.hops = {id: replace(hop, supposed=False) for id, hop in there.items()}
    put(case, {name: found_out(leaf, draw(domain, by)) for name, (leaf, domain) in to_find_out(case).items()})
    return case


def turned(path: Path, seed: int, before: Chained, came: Counter[str]) -> Iterator[str]:
    """What was settled and comes out otherwise at a point; how the others come out is counted."""
    supposed = frozenset(part.name for part in load(path).parts.values() if part.supposed)
    for rule, anchor, was, now in moves(before, reviewed(at_point(path, seed)), supposed):
        if was == NOT_YET:
            came[now] += 1
        elif was != now:
            yield f"seed {seed}: {rule} {anchor} is {now}, was {was}"


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_verdict_holds_when_everything_is_found_out(path: Path) -> None:
    before = reviewed(load(path))
    assert [fault for seed in range(POINTS) for fault in turned(path, seed, before, Counter())] == []


def test_open_verdicts_come_out_both_ways() -> None:
    """Were a point never to settle anything, the law would hold of anything."""
    came = Counter[str]()
    for path in CASES[:4]:
        for seed in range(3):
            assert list(turned(path, seed, reviewed(load(path)), came)) == []
    assert came["wrong"] > 50 and came[NOT_WRONG] > 50
