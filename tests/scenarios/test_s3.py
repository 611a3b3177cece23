"""Changed at 10:40: what was found stays found, what was left is judged on its own.

The situation, all invented (the sample case `dunlin`): a lead profile with an equalise stage of 15.5 V is
read at 10:05 on a lithium battery; the charger is set to lithium at 10:40; 14.2 V are read at the posts at
11:10.
"""

from collections.abc import Callable

import pytest

from ringout.case.case import Case
from ringout.case.load import load_text
from ringout.facts.trust import as_found
from ringout.inference.chain import Verdict
from ringout.plan.compare import Comparison, all_findings, compare
from ringout.plan.stages import as_left
from ringout.report.text import text
from ringout.review.review import Review, review

Reviewed = Callable[[str], Review]

FAULT = "equalises-a-battery-that-forbids-it"
PROFILE = "lead-profile-on-lithium"
FAULTS = (FAULT, PROFILE, "absorption-too-high")
CONSEQUENCES = ("wrong-charging-makes-lithium-cut-off", "cutting-off-explains-the-blackout")
"""What follows from the faults; with these cured they no longer apply."""


@pytest.fixture(scope="module")
def found(reviewed: Reviewed) -> Review:
    return reviewed("dunlin")


@pytest.fixture(scope="module")
def left(found: Review) -> Review:
    return review(as_left(found.case), "plain")


@pytest.fixture(scope="module")
def became(found: Review, left: Review) -> Comparison:
    return compare(found, left)


def verdict(made: Review, rule: str) -> Verdict:
    [its] = [each for each in made.chained.said if each.rule.name == rule]
    return its.verdict


def stated(case: Case, field: str) -> tuple[str, str]:
    leaf = case.parts["charger"].leaf(field)
    return leaf.text.split(" (")[0], leaf.at


def changed(made: Review, old: str, new: str) -> Review:
    told = made.case.document.text
    assert old in told
    return review(load_text(told.replace(old, new), "told.yaml"), "plain")


def test_the_case_states_the_situation(found: Review) -> None:
    assert stated(found.case, "profile") == ("flooded", "10:05")
    assert stated(found.case, "equalise_voltage") == ("15.5 V", "10:05")
    assert found.case.parts["house"].word("chemistry") == "LFP"
    [entry] = found.case.frame.changed
    assert entry.at == "10:40" and "lithium" in entry.what
    [taken] = found.case.readings
    assert (taken.reading.value, taken.reading.at) == ("14.2 V", "11:10")


# Must


@pytest.mark.parametrize("rule", FAULTS)
def test_as_found_keeps_the_fault(found: Review, rule: str) -> None:
    assert verdict(found, rule) is Verdict.WRONG
    assert rule in {each.rule.name for each in all_findings(found) if not each.open}


@pytest.mark.parametrize("rule", CONSEQUENCES)
def test_what_follows_from_the_faults_goes_with_them(found: Review, left: Review, rule: str) -> None:
    assert verdict(found, rule) is Verdict.WRONG
    assert verdict(left, rule) is Verdict.DOES_NOT_APPLY


@pytest.mark.parametrize("rule", FAULTS)
def test_as_left_shows_it_cured(left: Review, became: Comparison, rule: str) -> None:
    assert verdict(left, rule) is Verdict.RIGHT
    [change] = [each for each in became.gone if each.identity[0] == rule]
    assert (change.before.verdict, change.after.verdict) == (Verdict.WRONG, Verdict.RIGHT)


def test_nothing_else_became_worse(became: Comparison) -> None:
    assert (became.new, became.still, became.unsettled, became.opened) == ((), (), (), ())
    assert {each.identity[0] for each in became.gone} == {*FAULTS, *CONSEQUENCES}


@pytest.mark.parametrize(
    ("field", "before", "after"),
    [
        ("profile", "flooded", "LFP"),
        ("equalise", "automatic", "no"),
        ("absorption", "14.7 V", "14.4 V"),
        ("float", "13.6 V", "13.5 V"),
    ],
)
def test_from_what_to_what_and_when(found: Review, left: Review, field: str, before: str, after: str) -> None:
    assert stated(found.case, field) == (before, "10:05")
    assert stated(left.case, field) == (after, "10:40")
    assert left.case.frame.changed == found.case.frame.changed, "who changed it, and when, stays on record"


# Must not


def test_the_reading_of_1110_is_no_evidence_about_as_found(found: Review) -> None:
    [taken] = found.case.readings
    assert as_found(found.case) == []
    for finding in all_findings(found):
        assert taken.value.spot not in finding.evidence
    # The same verdicts come out whatever was read, and where only its time or only its round tells it apart.
    for old, new in (
        ("value: 14.2 V", "value: 15.5 V"),
        (", round: left", ""),
        ('at: "11:10", instrument: multimeter, ', ""),
    ):
        again = changed(found, old, new)
        assert as_found(again.case) == []
        assert [(each.rule.name, each.verdict) for each in again.chained.said] == [
            (each.rule.name, each.verdict) for each in found.chained.said
        ]


def test_a_reading_of_1005_does_count_as_found(found: Review) -> None:
    later = 'at: "11:10", instrument: multimeter, round: left'
    earlier = changed(found, later, 'at: "10:05", instrument: multimeter')
    assert [taken.reading.at for taken in as_found(earlier.case)] == ["10:05"]


def test_it_is_not_listed_open_at_hand_over(left: Review) -> None:
    open_rules = {each.rule.name for need in left.needs for each in need.opens}
    assert open_rules.isdisjoint({*FAULTS, *CONSEQUENCES})
    assert left.found == ()
    assert "WRONG" not in text(left)
