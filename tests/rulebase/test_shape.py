"""The shape of a rule file: what may be left out, what may not, and which words are words."""

from pathlib import Path

import pytest

from ringout.rulebase.shape import AREAS, VERDICTS, RuleFile
from ringout.text.checked import validate
from ringout.text.document import read_text
from ringout.text.problem import Unusable

GOOD = (Path(__file__).parent / "good.yaml").read_text("utf-8")
LEAST = """\
rule: least
title: The least a rule can say
area: loads
says: nothing much
looks_at: {load: dc_load}
sources: []
examples: []
"""


def test_what_may_be_left_out() -> None:
    raw = validate(read_text(LEAST, "least.yaml"), RuleFile)
    assert (raw.with_, raw.given, raw.when, raw.unless) == ({}, None, None, None)
    assert raw.concludes is None and raw.finding is None


def test_nothing_is_shared_between_two_files() -> None:
    one, other = (validate(read_text(LEAST, "least.yaml"), RuleFile) for _ in range(2))
    assert one.with_ is not other.with_


@pytest.mark.parametrize("key", ["rule", "title", "area", "says", "looks_at", "sources", "examples"])
def test_what_may_not_be_left_out(key: str) -> None:
    text = "".join(line + "\n" for line in LEAST.splitlines() if not line.startswith(f"{key}:"))
    with pytest.raises(Unusable, match=f"expected '{key}: ...'"):
        validate(read_text(text, "least.yaml"), RuleFile)


def test_words_of_a_rule_are_never_booleans_or_numbers() -> None:
    raw = validate(read_text(GOOD, "good.yaml"), RuleFile)
    assert raw.given == {"eq": ["feed.away", "yes"]}
    assert raw.examples[0].facts[1]["sag"]["volts"] == "9.5..10 V"
    assert raw.finding is not None and raw.finding.cls == 4


def test_areas_and_verdicts_are_those_of_the_rule_folders() -> None:
    assert len(set(AREAS)) == 8
    assert VERDICTS == ("wrong", "right", "not_known", "does_not_apply")
