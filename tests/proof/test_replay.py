"""Every step of every review, replayed from the lines of the file to the verdict by code that shares nothing.

Right verdicts, those not known and those that do not apply are proven like the wrong ones. Each kind of step is
then tampered with, one at a time, and the checker has to object to that kind.
"""

import random
from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path

import knowledge
import numbers_again
import pytest
from replay import TRUTH, Replay
from sources import Sources
from tamperings import TAMPERED, TAMPERINGS, other
from worked_out import PREFIX, WorkedOut

from ringout.case.load import load
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.inference.chain import Chained, Verdict, chain
from ringout.inference.judge import Judged, Truth, judge
from ringout.inference.plain import PlainMatcher
from ringout.physics.flow import MOST_NAMED
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import Traced, leaves_of
from ringout.rulebase.condition import Attr, Compare
from ringout.rulebase.load import rulebase
from ringout.text.problem import Spot

TESTS = Path(__file__).resolve().parents[1]
CASES = sorted(
    path for folder in ("../cases", "field/cases", "facts/cases") for path in (TESTS / folder).resolve().glob("*.yaml")
)


def made(path: Path) -> tuple[Chained, list[Fact]]:
    given = gather(load(path))
    return chain(rulebase(), given, PlainMatcher), given


@cache
def replayed(path: Path) -> tuple[Replay, list[tuple[str, str]]]:
    its = Replay(*made(path), path, path.stem)
    return its, its.objections()


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_every_step_follows(path: Path) -> None:
    assert replayed(path)[1] == []


def test_much_is_checked() -> None:
    """Were nothing compared, nothing would be objected to."""
    steps: Counter[str] = Counter()
    leaves: Counter[str] = Counter()
    for path in CASES:
        its = replayed(path)[0]
        assert its.sources is not None
        steps += its.counts
        leaves += its.sources.counts
    for verdict in Verdict:
        assert steps[verdict.value] >= 50, verdict
    assert steps["number"] >= 1000
    assert steps["conclusion"] >= 50
    assert steps["worked out"] >= 40
    assert steps["wider than found"] < steps["number"] / 10
    assert leaves["not checked"] < (leaves["stated"] + leaves["not stated"] + leaves["table"]) / 500
    assert leaves["stated"] >= 1000
    assert leaves["not stated, width not checked"] < leaves["not stated"] / 4


def test_the_rules_read_anew_are_the_rules_that_ran() -> None:
    assert {rule.name: rule.level for rule in rulebase()} == knowledge.levels()


# -- the checker objects -------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", TAMPERINGS)
def test_the_checker_objects(name: str) -> None:
    kind, tamper = TAMPERINGS[name]
    out, given = made(TAMPERED)
    found = Replay(tamper(out), given, TAMPERED, "tampered").objections()
    assert kind in {each for each, _ in found}, found


def test_what_a_table_says_is_compared_with_the_table() -> None:
    sources = Sources(TAMPERED)
    tables = {
        leaf.path: leaf
        for said in made(TAMPERED)[0].said
        for step in said.steps
        for test in step.when.tests
        for side in (test.left, test.right)
        if side is not None
        for leaf in leaves_of(side)
        if leaf.origin is Origin.TABLE
    }
    assert len(tables) > 20
    for leaf in tables.values():
        assert sources.wrong_with(leaf) == ""
        assert sources.wrong_with(replace(leaf, domain=Span(-7.0, -7.0)))
        assert sources.wrong_with(replace(leaf, spot=None))
        assert sources.wrong_with(replace(leaf, spot=Spot(str(TAMPERED), 4, 7)))
        assert sources.wrong_with(replace(leaf, path=f"{leaf.path}x"))


def test_volts_worked_out_may_not_be_taken_narrower_than_what_leaves_them() -> None:
    case = TAMPERED.with_name("crake.yaml")
    given = gather(load(case))
    its = WorkedOut(given, Sources(case).raw, random.Random(0))
    settled = {
        leaf.path: leaf
        for fact in given
        for value in fact.values.values()
        for leaf in leaves_of(value)
        if leaf.path.startswith(PREFIX)
    }
    assert len(settled) > 3
    for leaf in settled.values():
        assert its.wrong_with(leaf) == ""
        assert isinstance(leaf.domain, Span)
        lo, hi = leaf.domain.lo, leaf.domain.hi
        assert its.wrong_with(replace(leaf, domain=Span((lo + hi) / 2, hi)))
        assert its.wrong_with(replace(leaf, path=f"{leaf.path}x"))


def test_more_loads_than_are_named_follow_too(tmp_path: Path) -> None:
    loads = [f"  l{n}: {{kind: dc_load, current: 0.5..{1 + n / 10} A (label)}}" for n in range(MOST_NAMED + 3)]
    rows = ["case: made for a test", "kind: cabin", "dc_volts: 12 V", "parts:", "  bars: {kind: busbars}", *loads]
    rows += ["  b1: {kind: battery, chemistry: AGM (label), nominal: 12 V (label), capacity: 100 Ah (label)}", "dc:"]
    rows += ["  - b1 = bars : 16 mm2, 1 m", *(f"  - bars = l{n} : 2.5 mm2, 2 m" for n in range(MOST_NAMED + 3))]
    path = tmp_path / "many.yaml"
    path.write_text("\n".join(rows) + "\n", "utf-8")
    its, objections = replayed(path)
    assert objections == []
    values = [value for fact in its.given.values() for value in fact.values.values()]
    assert any(leaf.path.endswith(".others") for value in values for leaf in leaves_of(value))


def test_an_unknown_value_may_not_be_taken_narrower_than_its_form_allows() -> None:
    leaf = load(TAMPERED).parts["galley"].leaf("polarity")
    assert not leaf.known and isinstance(leaf.domain, Choice)
    sources = Sources(TAMPERED)
    assert sources.wrong_with(leaf) == ""
    assert sources.wrong_with(replace(leaf, domain=Choice(frozenset({"right"}))))


# -- what ranges alone leave open ----------------------------------------------------------------------------


def condition(op: str) -> tuple[dict[str, list[str]], Compare]:
    return {op: ["run.rating", "run.ampacity"]}, Compare(op, Attr("run", "rating"), Attr("run", "ampacity"))


@pytest.mark.parametrize("op", ["gt", "le"])
def test_two_sides_that_share_a_leaf_are_tried_at_its_points(op: str) -> None:
    leaf = Leaf("f.rating", Span(10.0, 50.0), "current")
    double = Traced(lambda a: 2 * float(a), (leaf,), name="double", dimension="current")
    fact = Fact("guarded_run", {"device": "f", "run": "a~b", "bank": "h"}, {"rating": double, "ampacity": leaf})
    raw, compare = condition(op)
    its = judge(compare, {"run": fact})
    assert its.truth is (Truth.YES if op == "gt" else Truth.NO)
    replay = Replay(Chained("none"), [], None)
    assert replay.of_truth(raw, its, {"run": fact}, TRUTH[its.truth.value], default=True) == ""
    assert replay.counts["truth by points"] == 1
    flipped = Judged(other(its.truth), (), (), {})
    assert replay.of_truth(raw, flipped, {"run": fact}, TRUTH[flipped.truth.value], default=True)


def test_a_formula_that_turns_within_its_range_is_caught_outside_it() -> None:
    """What the program takes for granted: each leaf moves a number one way only."""
    leaf = Leaf("x.y", Span(0.0, 4.0))
    hump = Traced(lambda a: float(a) * (4 - float(a)), (leaf,), name="hump")
    tried = numbers_again.points([hump], random.Random(0), inside=50)
    assert "outside" in numbers_again.strayed(hump, hump.domain(), tried)
