"""The opening questions: each sound in itself, asked where it has sense, once."""

from __future__ import annotations

import pytest

from ringout.case.case import Case
from ringout.case.load import load_text
from ringout.interview.save import place_of
from ringout.interview.script import ANSWER, FIRST_SCREEN, Step, named, read_script, script
from ringout.text.document import read_text
from ringout.text.problem import Unusable

STEPS = {step.id: step for step in script()}
ALL_PARTS = """\
case: the hut
parts:
  battery: {kind: battery}
  inverter: {kind: inverter}
  mains_charger: {kind: mains_charger}
  solar_controller: {kind: solar_controller}
  inlet: {kind: inlet}
"""


def case(text: str) -> Case:
    return load_text(text, "hut.yaml")


def test_at_most_ten_come_before_the_first_screen_and_before_all_others() -> None:
    first = [step.first for step in script()]
    assert sum(first) <= FIRST_SCREEN
    assert first == sorted(first, reverse=True)


def test_the_complaint_comes_first_and_danger_before_any_part() -> None:
    assert [step.takes for step in script()][:3] == ["complaint", "symptom", "danger"]


@pytest.mark.parametrize("step", script(), ids=lambda step: step.id)
def test_a_question_is_short_and_says_why(step: Step) -> None:
    assert len(step.ask) < 80
    assert 0 < len(step.why) < 80
    assert step.ask.endswith("?")


@pytest.mark.parametrize(
    "step", [step for step in script() if step.takes == "value"], ids=lambda step: step.id
)
def test_its_answer_goes_to_a_place_that_a_case_has(step: Step) -> None:
    if step.about:
        assert place_of(case(ALL_PARTS), named(step.about, case(ALL_PARTS))) is not None
    for puts in step.answers.values():
        assert set(puts) and all(path.split(".")[0] in ("parts", "looked_for") for path in puts)


def test_only_licensed_people_are_said_to_test_the_earth() -> None:
    assert "licensed person" in STEPS["earth"].ask


def test_a_question_about_a_part_waits_for_the_part() -> None:
    assert not STEPS["chemistry"].open(case("case: x\n"))
    assert STEPS["chemistry"].open(case("case: x\nparts: {b1: {kind: battery}}\n"))
    assert STEPS["chemistry"].open(case("case: x\nparts: {house: {kind: bank}}\n"))
    assert not STEPS["charger_on_inverter"].open(case("case: x\nparts: {chg: {kind: mains_charger}}\n"))


@pytest.mark.parametrize(
    "text",
    [
        "case: x\nparts: {b1: {kind: battery}}\n",
        "case: x\nparts: {house: {kind: bank}}\n",
        "case: x\nlooked_for: {battery: none seen}\n",
        "case: x\nlooked_for: {battery: not looked (said)}\n",
    ],
)
def test_what_the_file_holds_already_is_not_asked(text: str) -> None:
    assert STEPS["batteries"].open(case("case: x\n"))
    assert not STEPS["batteries"].open(case(text))


@pytest.mark.parametrize("stated", ["LFP (label)", "unknown", "unknown (said)", "LFP | AGM"])
def test_a_stated_or_asked_value_is_not_asked_again(stated: str) -> None:
    assert not STEPS["chemistry"].open(
        case(f"case: x\nparts: {{b1: {{kind: battery, chemistry: {stated}}}}}\n")
    )


def test_a_part_is_called_by_its_name_in_the_case() -> None:
    made = case(
        "case: x\nparts: {b1: {kind: battery}, combi: {kind: inverter_charger}, inlet: {kind: rcd}}\n"
    )
    assert named("{battery}.chemistry", made) == "b1.chemistry"
    assert named("parts.{inverter}.kind", made) == "parts.combi.kind"
    assert named("{solar_panel}", made) == "solar_panel"
    assert named("{inlet}", made) == "inlet2"


def test_the_word_for_the_answer_stands_only_inside_values() -> None:
    assert not any(ANSWER in path for step in script() for puts in step.answers.values() for path in puts)


BAD = """\
one: {ask: "Is it?", why: because, finds: batery, answers: {other: {parts.x.kind: battery}}}
two: {ask: "Is it?", why: because}
three: {ask: "Is it?", why: because, about: kind, finds: battery, answers: {not known: {}}}
four: {ask: "Is it?", why: because, about: mains.rcd, needs: [bank inverterr], takes: nothing}
"""


def test_every_mistake_of_the_file_is_told_with_its_place() -> None:
    with pytest.raises(Unusable) as caught:
        read_script(read_text(BAD.replace(", takes: nothing", ""), "intake.yaml"))
    told = str(caught.value)
    assert (
        "intake.yaml:1:43: one.finds: expected a kind of part, found 'batery'; did you mean 'battery'?"
        in told
    )
    assert "one.answers: expected an answer 'not known'" in told
    assert "two: expected either 'about', or 'finds' and 'answers'" in told
    assert "three: expected either 'about', or 'finds' and 'answers'" in told
    assert "four.needs: expected a kind of part, found 'inverterr'; did you mean 'inverter'?" in told


def test_too_long_too_many_and_of_no_known_sort_are_refused() -> None:
    line = "q{n}: {{ask: '{ask}', why: because, about: kind, first: yes}}\n"
    many = "".join(line.format(n=n, ask="Is it?") for n in range(FIRST_SCREEN + 1))
    with pytest.raises(Unusable, match="expected at most 10 questions before the first screen, found '11'"):
        read_script(read_text(many, "intake.yaml"))
    with pytest.raises(Unusable, match="expected at most 79 characters"):
        read_script(read_text(line.format(n=1, ask="a" * 79 + "?"), "intake.yaml"))
    with pytest.raises(Unusable, match="expected one of value, complaint, symptom, danger, found 'nothing'"):
        read_script(read_text(BAD, "intake.yaml"))
