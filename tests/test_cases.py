"""The sample installations: each is invented, usable, and reviewed as a careful practitioner would review it.

What a practitioner says of a case stands in `cases/expected/<case>.yaml`:
wrong, not_known, right   a rule and what it is about, as the verdicts of the JSON name them
never, not_open           rules that may not be wrong, or not open, about anything
nothing_wrong             no rule at all may be wrong
levels                    how many conclusions stand on one another at least
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from ringout.case.load import load
from ringout.inference.chain import Step, Verdict
from ringout.review.review import Review
from ringout.rulebase.load import rulebase
from ringout.shipped import cases_root

Reviewed = Callable[[str], Review]

FILES = sorted(cases_root().glob("*.yaml"))
NAMES = sorted(path.stem for path in FILES)
KEYS = {"wrong", "not_known", "right", "never", "not_open", "nothing_wrong", "levels"}
VERDICTS = {"wrong": Verdict.WRONG, "not_known": Verdict.NOT_KNOWN, "right": Verdict.RIGHT}


def expected(name: str) -> dict[str, Any]:
    """What the file says; nothing where it is missing, which one test reports."""
    file = cases_root() / "expected" / f"{name}.yaml"
    made: dict[str, Any] = yaml.safe_load(file.read_text(encoding="utf-8")) if file.is_file() else {}
    return made


def verdicts(made: Review) -> dict[str, Verdict]:
    return {f"{said.rule.name} {said.anchor.id}": said.verdict for said in made.chained.said}


def depth(step: Step) -> int:
    """How many conclusions stand on one another in a step, itself counted."""
    below = (depth(each) for known in step.binding.values() for each in known.steps)
    return 1 + max(below, default=0)


def test_every_case_has_its_expectation_and_none_is_left_over() -> None:
    assert sorted(path.stem for path in (cases_root() / "expected").iterdir()) == NAMES
    assert len(NAMES) >= 5


@pytest.mark.parametrize("name", NAMES)
def test_an_expectation_names_rules_that_there_are(name: str) -> None:
    made = expected(name)
    assert set(made) <= KEYS
    rules = {rule.name for rule in rulebase()}
    lists = [line for key in KEYS - {"nothing_wrong", "levels"} for line in made.get(key, [])]
    assert [line for line in lists if line.split()[0] not in rules] == []
    assert any(made.get(key) for key in VERDICTS)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("key", VERDICTS)
def test_a_practitioner_would_agree(reviewed: Reviewed, name: str, key: str) -> None:
    given = verdicts(reviewed(name))
    lines = expected(name).get(key, [])
    said = {line: given[line].value if line in given else "no such verdict" for line in lines}
    assert said == dict.fromkeys(lines, VERDICTS[key].value)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_said_that_a_practitioner_would_not_say(reviewed: Reviewed, name: str) -> None:
    made = expected(name)
    for said in reviewed(name).chained.said:
        if said.verdict is Verdict.WRONG:
            assert not made.get("nothing_wrong", False), f"{said.rule.name} {said.anchor.id}"
            assert said.rule.name not in made.get("never", []), said.anchor.id
        if said.verdict in (Verdict.WRONG, Verdict.NOT_KNOWN):
            assert said.rule.name not in made.get("not_open", []), said.anchor.id


@pytest.mark.parametrize("name", [name for name in NAMES if "levels" in expected(name)])
def test_conclusions_stand_on_conclusions(reviewed: Reviewed, name: str) -> None:
    deepest = max(depth(step) for said in reviewed(name).chained.said for step in said.steps)
    assert deepest >= expected(name)["levels"]


def test_chains_of_three_levels_run_somewhere() -> None:
    assert max(expected(name).get("levels", 1) for name in NAMES) >= 3


@pytest.mark.parametrize("file", FILES, ids=NAMES)
def test_a_case_is_usable_invented_and_says_so(file: Path) -> None:
    case = load(file)
    assert case.frame.invented
    assert case.title and case.complaints
    assert case.frame.owner.model_dump() == {"name": "", "plate": "", "location": "", "contact": ""}


@pytest.mark.parametrize("file", FILES, ids=NAMES)
def test_a_case_starts_with_the_comment_that_helps_an_editor(file: Path) -> None:
    first = file.read_text(encoding="utf-8").splitlines()[0]
    assert first == "# yaml-language-server: $schema=case.schema.json"
