"""Verdicts, grades and cases that try each rule; questions that supply it."""

from collections.abc import Callable
from pathlib import Path

import pytest

from ringout.lint.exercised import exercised, supplied
from ringout.shipped import cases_root

Complaints = Callable[..., list[str]]
TRIED = [cases_root() / "bittern.yaml"]
"""A case in which a drop was read."""
GRAVER = """  probability: B
  graver:
    - {when: {gt: [read.drop_12, 2 V]}, class: %d, severity: 3, probability: B}
"""


def test_the_good_rule_is_clean(complaints: Complaints) -> None:
    assert complaints(exercised, cases=TRIED) == []
    assert complaints(supplied, cases=TRIED) == []


def test_a_rule_that_no_case_tries(complaints: Complaints) -> None:
    wanted = "too-much-lost: expected a case in which there is a drop_reading for it, found none in 0 cases"
    assert complaints(exercised) == [f"loads/too-much-lost.yaml:5:11: {wanted}"]


@pytest.mark.parametrize(
    ("verdict", "words"), [("wrong", "wrong"), ("right", "right"), ("not_known", "not known")]
)
def test_a_verdict_that_no_example_shows(complaints: Complaints, verdict: str, words: str) -> None:
    found = complaints(exercised, (f"verdict: {verdict},", "verdict: does_not_apply,"), cases=TRIED)
    assert f"expected an example that comes out {words}, found none" in found[0]


@pytest.mark.parametrize(
    ("old", "new", "error"),
    [
        ("verdict: right", "verdict: wrong", ":21:28: too-much-lost: expected what comes out, right, found wrong"),
        ("verdict: wrong", "verdict: wrong, class: 3", ":20:41: too-much-lost: expected class 4, found 3"),
        ("verdict: wrong", "verdict: wrong, risk: 4C", ":20:40: too-much-lost: expected risk 4B, found 4C"),
    ],
)
def test_an_example_that_comes_out_otherwise(complaints: Complaints, old: str, new: str, error: str) -> None:
    found = complaints(exercised, (old, new), cases=TRIED)
    assert f"loads/too-much-lost.yaml{error}" in found


@pytest.mark.parametrize(
    ("cls", "wanted"),
    [
        (3, ["'class: 4'", "'class: 3'"]),
        (4, ["'class: 4' and 'risk: 4B'", "'class: 4' and 'risk: 3B'"]),
    ],
)
def test_grades_that_no_example_states(complaints: Complaints, cls: int, wanted: list[str]) -> None:
    found = complaints(exercised, ("  probability: B\n", GRAVER % cls), cases=TRIED)
    assert [each.partition(" says ")[2] for each in found] == [f"{each}, found none" for each in wanted]


def test_a_field_that_no_question_asks_for(complaints: Complaints, pack: Path) -> None:
    sheet = (pack / "forms" / "surroundings.yaml").read_text()
    ask = '    ask: "Does it lie in the water while it is on shore supply?"\n'
    assert sheet.count(ask) == 1
    looks = "looks_at: {read: drop_reading}\nwith:\n  place: {fact: surroundings}"
    changes = (
        ("looks_at: {read: drop_reading}", looks),
        ("when: {gt: [read.drop_12, {limit: most_lost}]}", "when: {eq: [place.afloat, yes]}"),
    )
    assert complaints(supplied, *changes) == []
    assert complaints(supplied, *changes, files={"forms/surroundings.yaml": sheet.replace(ask, "")}) == [
        "loads/too-much-lost.yaml:8:12: too-much-lost: expected a question or a reading that can settle it, "
        "found none for surroundings.afloat"
    ]
