"""The frame: what may stand at the top of a case file, and that its words agree with the forms."""

import pytest

from ringout.case.form import sheet
from ringout.case.frame import READING, CaseFile
from ringout.text.checked import validate
from ringout.text.document import read_text


def frame(text: str) -> CaseFile:
    return validate(read_text(text, "c.yaml"), CaseFile)


def test_a_title_is_all_that_must_be_there() -> None:
    its = frame("case: the punt")
    assert (its.case, its.kind, its.region, its.invented) == ("the punt", "other", "other", False)
    assert (its.owner.name, its.parts, its.dc) == ("", {}, [])
    assert its.dc_volts is its.ac_volts is None


def test_texts_stay_as_written() -> None:
    its = frame("{case: c, visited: 2026-05-03, built: 0123, altered: no}")
    assert (its.visited, its.built, its.altered) == ("2026-05-03", "0123", "no")


def test_statements_are_left_for_their_forms() -> None:
    its = frame("{case: c, habits: {nights_away: 3}, parts: {b1: {kind: x, a: {is: b}}}}")
    assert its.habits == {"nights_away": "3"}
    assert its.parts["b1"] == {"kind": "x", "a": {"is": "b"}}


def test_every_sort_of_reading_has_a_field_that_tells_how_to_read_it() -> None:
    assert set(READING) == set(sheet("reading").fields)


@pytest.mark.parametrize("block", ["habits", "surroundings", "mains"])
def test_every_block_of_statements_has_a_form(block: str) -> None:
    assert sheet(block).fields
    assert block in CaseFile.model_fields


def test_the_voltages_of_the_whole_have_a_form() -> None:
    assert {"dc_volts", "ac_volts"} == set(sheet("installation").fields) <= set(CaseFile.model_fields)


def test_a_reading_can_say_all_that_makes_it_comparable() -> None:
    its = frame(
        "{case: c, readings: {sag: {what: voltage, value: 11.3 V, points: b1+ b1-, state: away,"
        " loads: kettle, at: '09:25', instrument: meter, set: kettle, steady: yes, repeats: rest,"
        " round: left}}}"
    ).readings["sag"]
    assert (its.points, its.steady, its.round, its.set) == (("b1+", "b1-"), True, "left", "kettle")
