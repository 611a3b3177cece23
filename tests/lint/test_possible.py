"""Conditions that contradict themselves, each other, or the bounds of a field."""

from collections.abc import Callable

import pytest

from ringout.lint.possible import impossible

Complaints = Callable[..., list[str]]
WHEN = "when: {gt: [read.drop_12, {limit: most_lost}]}"
OVER = "{gt: [read.drop_12, {limit: most_lost}]}"
UNDER = "{lt: [read.drop_12, {limit: most_lost}]}"
NEVER = "expected conditions that can come true together, found a rule that can never fire"


def test_the_good_rule_is_clean(complaints: Complaints) -> None:
    assert complaints(impossible) == []


@pytest.mark.parametrize(
    "when",
    [
        f"when: {{all: [{OVER}, {UNDER}]}}",
        f"when: {{all: [{OVER}, {{not: {OVER}}}]}}",
        f"given: {UNDER}\nwhen: {OVER}",
        f"when: {OVER}\nunless: {OVER}",
        f"when: {{all: [{OVER}, {{le: [read.drop_12, 0.5 V]}}]}}",
        "when: {all: [{gt: [read.drop, read.drop_12]}, {gt: [read.drop_12, read.drop]}]}",
        "when: {gt: [read.drop, read.drop]}",
    ],
)
def test_a_rule_that_can_never_fire(complaints: Complaints, when: str) -> None:
    found = complaints(impossible, (WHEN, when))
    assert found[-1] == f"loads/too-much-lost.yaml:1:1: too-much-lost: {NEVER}"


@pytest.mark.parametrize(
    "when",
    [
        f"when: {{any: [{OVER}, {UNDER}]}}",
        f"when: {{all: [{OVER}, {{le: [read.drop_12, 2 V]}}]}}",
        "when: {all: [{ge: [read.drop, read.drop_12]}, {ge: [read.drop_12, read.drop]}]}",
        "when: {all: [{ge: [read.drop_12, 2 V]}, {le: [read.drop_12, 2 V]}]}",
    ],
)
def test_what_is_possible_is_not_called_impossible(complaints: Complaints, when: str) -> None:
    assert complaints(impossible, (WHEN, when)) == []


def test_words_that_exclude_each_other(complaints: Complaints) -> None:
    looks = "looks_at: {read: drop_reading}\nwith:\n  bat: {fact: bank}"
    both = "when: {all: [{eq: [bat.chemistry, AGM]}, {in: [bat.chemistry, [gel, LFP]]}]}"
    found = complaints(impossible, ("looks_at: {read: drop_reading}", looks), (WHEN, both))
    assert found == [f"loads/too-much-lost.yaml:1:1: too-much-lost: {NEVER}"]


def test_a_word_test_that_is_always_so(complaints: Complaints) -> None:
    looks = "looks_at: {read: drop_reading}\nwith:\n  bat: {fact: bank}"
    either = "when: {in: [bat.joined, [yes, no]]}"
    found = complaints(impossible, ("looks_at: {read: drop_reading}", looks), (WHEN, either))
    assert found == [
        "loads/too-much-lost.yaml:8:12: too-much-lost: "
        "expected a test that can come out both ways, found one that is always so"
    ]


def test_a_limit_beyond_the_bounds_of_a_field(complaints: Complaints) -> None:
    looks = "looks_at: {read: drop_reading}\nwith:\n  guard: {fact: rcd}"
    beyond = "when: {gt: [guard.trip, 2 A]}"
    found = complaints(impossible, ("looks_at: {read: drop_reading}", looks), (WHEN, beyond))
    assert found[0] == (
        "loads/too-much-lost.yaml:8:12: too-much-lost: "
        "expected a test that can come out both ways, found one that is never so"
    )


def test_a_branch_that_the_rest_excludes(complaints: Complaints) -> None:
    branches = f"given: {OVER}\nwhen: {{any: [{UNDER}, {{gt: [read.drop, 1 V]}}]}}"
    assert complaints(impossible, (WHEN, branches)) == [
        "loads/too-much-lost.yaml:7:14: too-much-lost: "
        "expected a branch that can come true beside the rest, found one that never can"
    ]


@pytest.mark.parametrize(
    ("grade", "error"),
    [
        (f"{{when: {UNDER}, class: 3, severity: 3, probability: B}}", "whose condition never comes true here"),
        (
            "{when: {gt: [read.drop_12, 2 V]}, class: 4, severity: 4, probability: C}",
            "expected a grade graver than class 4, risk 4B, found class 4, risk 4C",
        ),
    ],
)
def test_a_grade_that_never_takes_over(complaints: Complaints, grade: str, error: str) -> None:
    (found,) = complaints(impossible, ("  probability: B\n", f"  probability: B\n  graver: [{grade}]\n"))
    assert error in found
