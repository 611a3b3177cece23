"""The sample installations: each is invented, usable, and reviewed as a careful practitioner would review it.

What a practitioner says of a case stands in `cases/expected/<case>.yaml`:
wrong, not_known, right   a rule and what it is about, as the verdicts of the JSON name them
never, not_open           rules that may not be wrong, or not open, about anything
nothing_wrong             no rule at all may be wrong
"""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from ringout.case.load import load
from ringout.inference.chain import Step, Verdict
from ringout.report.view import view
from ringout.review.review import Review
from ringout.rulebase.load import rulebase
from ringout.shipped import cases_root

Reviewed = Callable[[str], Review]

FILES = sorted(cases_root().glob("*.yaml"))
NAMES = sorted(path.stem for path in FILES)
KEYS = {"wrong", "not_known", "right", "never", "not_open", "nothing_wrong"}
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
    lists = [line for key in KEYS - {"nothing_wrong"} for line in made.get(key, [])]
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


AS_LEFT = "reed-cured"
"""The one sample that shows an installation after it was put right."""
SOUND = "plover"
"""The sample in which nothing was ever wrong: there is nothing for a conclusion to stand on."""


@pytest.mark.parametrize("name", [name for name in NAMES if name not in (AS_LEFT, SOUND)])
def test_what_was_found_stands_on_chains_of_three(reviewed: Reviewed, name: str) -> None:
    assert max(depth(step) for said in reviewed(name).chained.said for step in said.steps) >= 3


def headlines(made: Review) -> tuple[int, int]:
    """How many rows of a page tell what is wrong, and how many what is to be found out."""
    page = view(made)
    return len(page.dangers) + len(page.faults), len(page.unsafe.shown) + len(page.rest.shown)


def test_a_dozen_faults_make_at_most_a_dozen_headlines(reviewed: Reviewed) -> None:
    wrong, fetch = headlines(reviewed("crake"))
    assert 10 <= wrong <= 12
    assert fetch <= 7
    assert view(reviewed("crake")).lesser == 0, "what is left over is not merged but hidden"


def test_a_half_inspected_case_shows_at_most_seven_of_each(reviewed: Reviewed) -> None:
    wrong, fetch = headlines(reviewed("crake-half"))
    assert 3 <= wrong <= 7
    assert 1 <= fetch <= 7


def test_a_sound_case_shows_three_remarks_at_most(reviewed: Reviewed) -> None:
    made = reviewed(SOUND)
    assert made.found == ()
    wrong, fetch = headlines(made)
    assert (wrong, len(view(made).unsafe.shown)) == (0, 0)
    assert fetch <= 3


@pytest.mark.parametrize("name", NAMES)
def test_a_page_holds_a_dozen_faults_and_seven_questions(reviewed: Reviewed, name: str) -> None:
    made = reviewed(name)
    page = view(made)
    _, fetch = headlines(made)
    assert len(page.faults) <= max(0, 12 - len(page.dangers)), "dangers are never cut, all else is"
    assert fetch <= 7


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
