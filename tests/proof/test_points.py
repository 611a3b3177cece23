"""Every verdict holds at points: whatever is still open, once found out, leaves what was said standing.

At a point every open or ranged leaf of a case is one value, drawn once wherever it is used. All that is compared is
computed there by its formulas, all conditions are judged there by true and false, and conclusions are drawn from
conclusions. What was wrong must be wrong there; what was right, or did not apply, must not be.

Some 2,000 points in all are tried, spread evenly over the cases. Set RINGOUT_POINTS=2000 for as many a case:

    RINGOUT_POINTS=2000 python -m pytest tests/proof/test_points.py
"""

import os
import random
from collections import Counter
from pathlib import Path
from typing import Any

import kleene
import numbers_again as numbers
import pytest
from knowledge import facts, levels, rules
from replay import as_domain

from ringout.case.load import load
from ringout.facts.gather import gather
from ringout.inference.chain import Chained, Said, Verdict, chain
from ringout.inference.plain import PlainMatcher
from ringout.rulebase.load import rulebase

TESTS = Path(__file__).resolve().parents[1]
CASES = sorted(path for folder in ("../cases", "field/cases") for path in (TESTS / folder).resolve().glob("*.yaml"))
POINTS = int(os.environ.get("RINGOUT_POINTS", 1 + 2000 // len(CASES)))


class AtPoints:
    """A review whose verdicts are found again at points."""

    def __init__(self, chained: Chained) -> None:
        # Conclusions stand before whoever reads them.
        self.said = sorted(chained.said, key=lambda said: levels()[said.rule.name])
        self.leaves: dict[str, Any] = {}
        for said in self.said:
            for step in said.steps:
                for side in self.sides(said):
                    alias, _, name = side.partition(".")
                    numbers.beneath(step.binding[alias].fact.values[name], self.leaves)
                for known in step.binding.values():
                    self.leaves |= {leaf.path: leaf for leaf in known.fact.standing}

    def sides(self, said: Said) -> list[str]:
        rule = rules()[said.rule.name]
        return [side for part in (rule.given, rule.when, rule.unless) for side in kleene.sides(part)]

    def verdicts(self, point: numbers.Point) -> dict[tuple[str, str], str]:
        """The verdict of every subject at a point."""
        done: dict[int, Any] = {}
        proven: set[str] = set()
        found = {}
        for said in self.said:
            rule = rules()[said.rule.name]
            types = {term.alias: term.fact for term in rule.terms}
            verdicts = []
            for step in said.steps:
                bound = step.binding
                if not all(self.stands(known, point, proven) for known in bound.values()):
                    continue

                def here(side: str, bound: Any = bound) -> Any:
                    alias, _, name = side.partition(".")
                    return as_domain(numbers.run(bound[alias].fact.values[name], point, done))

                given, when = (kleene.truth(part, here, types) for part in (rule.given, rule.when))
                unless = kleene.truth(rule.unless, here, types) if rule.unless else kleene.NO
                verdicts.append(kleene.verdict(given, when, unless, kleene.YES))
                if verdicts[-1] in ("wrong", "not known") and rule.concludes:
                    proven.add(concluded(rule.concludes, bound))
            found[said.rule.name, said.anchor.id] = kleene.worst(verdicts)
        return found

    def stands(self, known: Any, point: numbers.Point, proven: set[str]) -> bool:
        """Whether a fact holds at a point: what it stands on is there, or a step has concluded it."""
        if facts()[known.fact.type]["by"] == "rules":
            return known.fact.id in proven
        return all(point[leaf.path] != "no" for leaf in known.fact.standing)


def concluded(line: dict[str, Any], bound: Any) -> str:
    """The id of the fact that a step concludes."""
    sources = [line["keys"][key].partition(".") for key in facts()[line["fact"]]["keys"]]
    return f"{line['fact']}({', '.join(bound[a].fact.keys[name] if dot else a for a, dot, name in sources)})"


def turned(path: Path, count: int) -> tuple[list[str], Counter[str]]:
    """The verdicts that a point turns round, and how the verdicts not yet known came out at the points."""
    chained = chain(rulebase(), gather(load(path)), PlainMatcher)
    its, by = AtPoints(chained), random.Random(path.stem)
    said = {(each.rule.name, each.anchor.id): each.verdict for each in chained.said}
    faults, came = [], Counter[str]()
    for number in range(count):
        point = numbers.draw_all(its.leaves.values(), by)
        for key, verdict in its.verdicts(point).items():
            before = said[key]
            if before is Verdict.NOT_KNOWN:
                came[verdict] += 1
            elif (verdict == "wrong") != (before is Verdict.WRONG):
                faults.append(f"point {number}: {' '.join(key)} is {verdict}, was {before.value}")
    return faults, came


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_verdict_holds_at_every_point(path: Path) -> None:
    assert turned(path, POINTS)[0] == []


def test_about_two_thousand_points_are_tried() -> None:
    assert POINTS * len(CASES) >= 2000


def test_open_verdicts_come_out_both_ways() -> None:
    """Were a point never to settle anything, the law would hold of anything."""
    came = Counter[str]()
    for path in CASES[:6]:
        came += turned(path, 20)[1]
    assert came["wrong"] > 200 and came["right"] > 200
