"""The rule base in print: every rule has its page, and a page leaves nothing out."""

import pytest

from ringout.report.rules import listing, matching, page
from ringout.rulebase.condition import attributes
from ringout.rulebase.limits import limits
from ringout.rulebase.load import rulebase
from ringout.rulebase.rule import Rule

RULES = rulebase()
BY_NAME = {rule.name: rule for rule in RULES}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_a_page_holds_all_that_the_rule_says(rule: Rule) -> None:
    made = page(rule, RULES)
    flat = " ".join(made.split())
    wanted = [rule.title, rule.says, str(rule.spot), *rule.sources, *(example.says for example in rule.examples)]
    if rule.finding is not None:
        text = rule.finding
        wanted += [each for each in (text.seen, text.do, text.prove, text.wrong_when) if "{" not in each]
    for words in wanted:
        assert " ".join(words.split()) in flat
    for condition in (rule.given, rule.when, rule.unless):
        for attr in attributes(condition) if condition is not None else ():
            assert f"{attr.name.replace('_', ' ')} of {attr.alias.replace('_', ' ')}" in flat
    assert max(len(line) for line in made.splitlines()) <= 80 and "{" not in made


def test_a_limit_stands_with_its_source_and_its_regions() -> None:
    flat = " ".join(page(BY_NAME["main-fuse-far-from-the-post"], RULES).split())
    its = limits()["main_fuse_distance"]
    assert f"source: {' '.join(its.source.split())}" in flat
    for word, leaf in its.leaves.items():
        assert word in flat and leaf.text in flat
    assert "is above the figure of main_fuse_distance for region of lead" in flat


def test_conclusions_name_what_they_rest_on_and_lead_to() -> None:
    below = page(BY_NAME["absorption-too-high"], RULES)
    above = page(BY_NAME["wrong-charging-explains-the-early-failure"], RULES)
    assert "leads to: Wrong charging explains why the battery died early" in below
    assert "rests on: A charge source charges at too high a voltage" in above


def test_every_word_must_be_there_in_name_title_or_text() -> None:
    assert {rule.name for rule in matching(RULES, ["RCD", "30 mA"])} >= {"rcd-trips-too-late-for-people"}
    assert matching(RULES, ["rcd", "nosuchword"]) == []
    assert list(matching(RULES, [])) == list(RULES)
    # A complaint's symptom is found by its words.
    assert BY_NAME["absorption-too-high"] in matching(RULES, ["battery died early"])


def test_a_rule_without_a_finding_has_no_class() -> None:
    quiet = [rule for rule in RULES if rule.finding is None]
    made = listing([*quiet, BY_NAME["rcd-missing"]])
    assert made.startswith(f"{len(quiet) + 1} rule")
    assert all(f"  -  {rule.title}\n     {rule.name}\n" in made for rule in quiet)
    assert "  1  " in made
