"""Every rule carries its examples; each must get the verdict it names, from both engines where both are there."""

import pytest

from ringout.inference import durable
from ringout.inference.examples import run
from ringout.inference.grade import grade_of
from ringout.inference.plain import PlainMatcher
from ringout.rulebase.load import rulebase

CASES = [
    pytest.param(rule, example, id=f"{rule.name}-{number}-{example.verdict}")
    for rule in rulebase()
    for number, example in enumerate(rule.examples)
]


@pytest.mark.parametrize(("rule", "example"), CASES)
def test_example_gets_its_verdict(rule, example):
    said = run(rule, example, PlainMatcher)
    where = f"{example.spot}: {example.says}"
    assert said.verdict.value.replace(" ", "_") == example.verdict, where
    if example.cls is not None or example.risk:
        grade = grade_of(rule.finding, said.step)
        assert example.cls in (None, grade.cls) and example.risk in ("", grade.risk), where
    if durable.available():
        assert run(rule, example, durable.DurableMatcher).verdict is said.verdict


@pytest.mark.parametrize("rule", rulebase(), ids=lambda rule: rule.name)
def test_rule_shows_wrong_right_and_not_known(rule):
    assert {"wrong", "right", "not_known"} <= {example.verdict for example in rule.examples}
