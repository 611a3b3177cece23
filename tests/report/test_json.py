"""The review as JSON: valid against the published schema, complete, the same on both engines."""

import json
import os
from collections import Counter
from collections.abc import Callable
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from ringout.case.load import load
from ringout.inference.durable import available
from ringout.kept import digest
from ringout.report.json import as_json, schema
from ringout.report.wording import wording
from ringout.review.review import Review, review
from ringout.shipped import cases_root

Reviewed = Callable[[str], Review]

CASES = sorted(path.stem for path in cases_root().glob("*.yaml"))
PUBLISHED = cases_root() / "review.schema.json"


needs_durable = pytest.mark.skipif(
    not available() and os.environ.get("RINGOUT_REQUIRE_DURABLE") != "1",
    reason="durable-rules is not installed",
)


def refuse(constant: str) -> None:
    raise AssertionError(f"{constant} is no JSON")


def printed(made: Review) -> Any:
    return json.loads(as_json(made), parse_constant=refuse)


def test_the_published_schema_is_fresh() -> None:
    make = "python -c 'from ringout.report.json import schema; print(schema(), end=str())'"
    fresh = PUBLISHED.read_text(encoding="utf-8") == schema()
    assert fresh, f"write it anew: {make} > cases/review.schema.json"


def test_the_published_schema_is_itself_valid() -> None:
    published = json.loads(PUBLISHED.read_text(encoding="utf-8"))
    assert published["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(published)


@pytest.mark.parametrize("name", CASES)
def test_every_sample_validates(reviewed: Reviewed, name: str) -> None:
    check = Draft202012Validator(json.loads(PUBLISHED.read_text(encoding="utf-8")))
    assert [error.message for error in check.iter_errors(printed(reviewed(name)))] == []


@pytest.mark.parametrize(
    "spoil",
    [
        lambda made: made.pop("counts"),
        lambda made: made.update(colour="red"),
        lambda made: made["verdicts"][0].update(verdict="fine"),
        lambda made: made["findings"][0].pop("class"),
        lambda made: made["findings"][0]["proof"].pop("lines"),
    ],
)
def test_the_schema_refuses_what_is_not_promised(
    reviewed: Reviewed, spoil: Callable[[dict[str, Any]], object]
) -> None:
    made = printed(reviewed("reed-loop"))
    spoil(made)
    assert not Draft202012Validator(json.loads(schema())).is_valid(made)


@pytest.mark.parametrize("name", CASES)
def test_the_counts_add_up_to_the_verdicts(reviewed: Reviewed, name: str) -> None:
    made = printed(reviewed(name))
    counted = Counter(each["verdict"] for each in made["verdicts"])
    assert made["counts"] == {word: counted[word] for word in made["counts"]}
    assert sum(made["counts"].values()) == len(made["verdicts"])
    pairs = Counter((each["rule"], each["subject"]) for each in made["verdicts"])
    assert set(pairs.values()) == {1}


@pytest.mark.parametrize("name", CASES)
def test_every_verdict_of_wrong_with_words_is_a_finding_and_no_other(reviewed: Reviewed, name: str) -> None:
    made = printed(reviewed(name))
    wordless = {said.rule.name for said in reviewed(name).chained.said if said.rule.finding is None}
    found = {(each["rule"], each["subject"]) for each in made["verdicts"] if each["verdict"] == "found"}
    assert {(each["rule"], each["subject"]) for each in made["findings"]} == {
        pair for pair in found if pair[0] not in wordless
    }


@pytest.mark.parametrize("name", CASES)
def test_an_open_verdict_says_what_would_settle_it(reviewed: Reviewed, name: str) -> None:
    for each in printed(reviewed(name))["verdicts"]:
        assert bool(each["needs"] or each["reading"]) == (each["verdict"] == "cannot-tell"), each


@pytest.mark.parametrize("name", CASES)
def test_a_finding_can_be_traced(reviewed: Reviewed, name: str) -> None:
    """Sources, a proof with the rule's own comparisons, evidence in the file, and whose work it is."""
    made = printed(reviewed(name))
    for each in made["findings"]:
        assert each["sources"] and each["seen"] and each["act"] and each["because"] and each["prove"]
        assert each["proof"]["rule"] == each["rule"] and each["proof"]["lines"]
        assert each["evidence"]
        assert all(spot.startswith(made["case"]["file"] + ":") for spot in each["evidence"])
        assert each["who"] in wording().who
        assert each["deferral"] in (wording().deferral, wording().mains_deferral)
        for number in each["numbers"]:
            assert number["inputs"] or number["formula"], number


def test_the_head_says_which_case_engine_and_rules(reviewed: Reviewed) -> None:
    made = printed(reviewed("reed-loop"))
    assert made["version"] == 1
    assert made["case"]["title"] == "The reed van, as it came in"
    assert made["case"]["invented"] is True
    assert (made["engine"], made["rulebase"]) == ("plain", digest())


def test_a_consequence_is_a_finding_too_and_named_by_its_cause(reviewed: Reviewed) -> None:
    made = {each["rule"]: each for each in printed(reviewed("reed-loop"))["findings"]}
    cause = made["charger-fed-by-its-own-battery"]
    assert [each.split()[0] for each in cause["consequences"]] == ["loop-empties-the-bank"]
    assert "loop-empties-the-bank" in made


@needs_durable
@pytest.mark.parametrize("name", CASES)
def test_both_engines_say_the_same(reviewed: Reviewed, name: str) -> None:
    plain = printed(reviewed(name))
    durable = printed(review(load(cases_root() / f"{name}.yaml"), "durable"))
    assert (plain.pop("engine"), durable.pop("engine")) == ("plain", "durable")
    assert durable == plain


def test_readings_that_nothing_was_made_of_are_named(reviewed: Reviewed) -> None:
    assert [each["reading"] for each in printed(reviewed("heron"))["readings_not_used"]] == ["rest", "draw"]
