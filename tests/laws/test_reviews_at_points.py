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

from ringout.case.case import Case
from ringout.case.load import load
from ringout.facts.catalogue import catalogue
from ringout.facts.gather import gather
from ringout.inference.chain import Chained, Said, Step, Verdict, chain
from ringout.inference.plain import PlainMatcher
from ringout.rulebase.load import rulebase

POINTS = int(os.environ.get("RINGOUT_POINTS", 1 + 100 // len(CASES)))
NOT_YET = "not known"
NOTED = {each.name for each in catalogue().values() if each.noted} | {"mark", "run_mark", "wired_in"}
"""Facts that exist only because somebody noted something: noting it for the first time is a new finding."""


def reviewed(case: Case) -> Chained:
    return chain(rulebase(), gather(case), PlainMatcher)


def verdicts(out: Chained) -> dict[tuple[str, str], Said]:
    return {(said.rule.name, said.anchor.id): said for said in out.said}


def standing(said: Said | None) -> str:
    """A verdict as the law counts it."""
    if said is None or said.verdict in (Verdict.RIGHT, Verdict.DOES_NOT_APPLY):
        return "not wrong"
    return said.verdict.value


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


def newly_seen(step: Step | None, before: Chained, supposed: frozenset[str]) -> bool:
    """Whether a step rests on a fact that was none before: nobody had noted it, or its part was only supposed."""
    return step is not None and any(
        (known.fact.id not in before.facts and (known.fact.type in NOTED or supposed & {*known.fact.keys.values()}))
        or any(newly_seen(earlier, before, supposed) for earlier in known.steps)
        for known in step.binding.values()
    )


def turned(path: Path, seed: int, before: Chained, came: Counter[str]) -> Iterator[str]:
    """What was settled and comes out otherwise at a point; how the others come out is counted."""
    was, now = verdicts(before), verdicts(reviewed(at_point(path, seed)))
    supposed = frozenset(part.name for part in load(path).parts.values() if part.supposed)
    for key in sorted(was.keys() | now.keys()):
        one, other = standing(was.get(key)), standing(now.get(key))
        if one == NOT_YET:
            came[other] += 1
        elif one != other and not (key in now and newly_seen(now[key].step, before, supposed)):
            yield f"seed {seed}: {' '.join(key)} is {other}, was {one}"


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
    assert came["wrong"] > 50 and came["not wrong"] > 50
