"""The review as a whole: counts that add up, what is right, what nobody looked for, the engine asked for."""

import gc
import sys
from collections.abc import Callable

import pytest

from ringout.case.load import load, load_text
from ringout.inference.chain import Verdict
from ringout.inference.durable import available
from ringout.review.engines import NoSuchEngine
from ringout.review.review import Review, review
from ringout.rulebase.rule import Rule
from ringout.shipped import cases_root

MakeRule = Callable[..., Rule]
Judge = Callable[..., Review]

CASES = sorted(path.stem for path in cases_root().glob("*.yaml"))


@pytest.mark.parametrize("name", CASES)
def test_the_counts_add_up_to_the_verdicts(reviewed: Callable[[str], Review], name: str) -> None:
    made = reviewed(name)
    assert sum(made.counts.values()) == len(made.chained.said)
    assert set(made.counts) == {verdict.value for verdict in Verdict}
    pairs = [(said.rule.name, said.anchor.id) for said in made.chained.said]
    assert len(set(pairs)) == len(pairs), "one verdict for each rule and part"


def test_found_and_open_are_kept_apart(rule: MakeRule, judge: Judge) -> None:
    rules = [rule("found"), rule("open", when={"eq": ["b.vent", "none"]})]
    made = judge("b1: {kind: battery, post_covers: none}", rules)
    assert [each.rule.name for each in made.found] == ["found"]
    assert [each.rule.name for each in made.open] == ["open"]
    assert made.counts == {"wrong": 1, "not known": 1, "right": 0, "does not apply": 0}


def test_right_is_what_was_right_wherever_it_applied(rule: MakeRule, judge: Judge) -> None:
    two = "b1: {kind: battery, post_covers: both, vent: tube}\nb2: {kind: battery, post_covers: both}"
    rules = [
        rule("covered"),
        rule("vented", when={"eq": ["b.vent", "none"]}),
        rule("elsewhere", given={"eq": ["b.post_covers", "none"]}),
        rule("silent", concludes={"fact": "uneven", "keys": {"bank": "b.part"}}, finding_=None),
        rule("placed", area="placement"),
    ]
    assert judge(two, rules).right == {"placement": ("placed",), "protection": ("covered",)}


def test_a_kind_nobody_looked_for_is_said_to_be_so(rule: MakeRule, judge: Judge) -> None:
    words = {key: "words" for key in ("seen", "means", "do", "confirm", "prove", "wrong_when")}
    on_heaters = rule("heaters", looks_at={"h": "heater"}, when={"eq": ["h.by_itself", "yes"]}, finding=words)
    battery = "b1: {kind: battery}"
    assert judge(battery, [on_heaters]).not_inspected == ("water_heater",)
    assert judge(battery, [on_heaters], "looked_for: {water_heater: none seen}\n").not_inspected == ()
    for unsure in ("not looked", "some"):
        made = judge(battery, [on_heaters], f"looked_for: {{water_heater: {unsure}}}\n")
        assert made.not_inspected == ("water_heater",)
    assert judge("b1: {kind: battery}\nhws: {kind: water_heater}", [on_heaters]).not_inspected == ()


BATTERY = load_text("case: made for a test\nparts: {b1: {kind: battery}}\n", "made.yaml")


def test_the_engine_asked_for_is_the_one_that_runs() -> None:
    assert review(BATTERY, "plain").chained.engine == "plain"
    assert review(BATTERY).chained.engine == ("durable" if available() else "plain")


def test_an_unknown_engine_is_refused() -> None:
    with pytest.raises(NoSuchEngine):
        review(BATTERY, "steam")


def test_without_rules_given_those_shipped_are_used() -> None:
    assert "main-fuse-missing" in {said.rule.name for said in review(BATTERY, "plain").chained.said}


def test_an_empty_case_has_nothing_wrong_and_nothing_right() -> None:
    made = review(load_text("case: nothing is known yet\n", "made.yaml"), "plain")
    assert (made.found, made.open, made.needs, made.right) == ((), (), (), {})
    assert made.not_inspected, "what nobody looked for is not passed over in silence"


def test_memory_is_searched_for_waste_again_after_a_review_however_it_ends() -> None:
    assert gc.isenabled()
    case = load(cases_root() / "reed-loop.yaml")
    review(case, "plain")
    assert gc.isenabled()
    with pytest.raises(NoSuchEngine):
        review(case, "steam")
    assert gc.isenabled()
    gc.disable()
    try:
        review(case, "plain")
        assert not gc.isenabled(), "whoever switched it off keeps it off"
    finally:
        gc.enable()


@pytest.mark.parametrize("engine", [*(["durable"] if available() else []), "plain"])
def test_a_review_leaves_nothing_behind(engine: str) -> None:
    """Objects of Python's own; tests/bench/memory.py watches the whole process over thousands of reviews."""

    def left(reviews: int) -> int:
        for _ in range(reviews):
            review(load(cases_root() / "ten-facts.yaml"), engine)
        gc.collect()
        return sys.getallocatedblocks()

    left(20)  # what is kept once for all is made now
    before = left(1)
    assert left(100) - before < 100, "less than one thing a review"
