"""Answers as people type them become statements in the file."""

from __future__ import annotations

from typing import Any

import pytest

from ringout.case.case import Case
from ringout.case.load import load_text
from ringout.interview.questions import Question, opening
from ringout.interview.take import NotTaken, taken

AT = "2026-05-03 10:05"
PARTS = """\
case: the hut
complaints: {main: {says: flat by morning, symptom: other}}
parts:
  b1: {kind: battery}
  mains_charger: {kind: mains_charger}
  inverter: {kind: inverter}
  solar_controller: {kind: solar_controller}
  inlet: {kind: inlet}
"""


def case(text: str) -> Case:
    return load_text(text, "hut.yaml")


def after(id: str, said: str, text: str = "case: the hut\n") -> Any:
    made = case(text)
    question = next(each for each in opening(made, looked=True) if each.id == id)
    changed = taken(made, question, said, AT)
    return case(changed).document.data


@pytest.mark.parametrize("said", ["2", "two", "Two", "2 (said)"])
def test_a_number_of_batteries(said: str) -> None:
    assert after("batteries", said)["parts"] == {"battery": {"kind": "battery", "count": "2 (said)"}}


@pytest.mark.parametrize(
    ("id", "said", "kind", "looked"),
    [
        ("batteries", "none", "battery", "none seen (said)"),
        ("batteries", "0 (seen)", "battery", "none seen (seen)"),
        ("batteries", "don't know", "battery", "not looked (said)"),
        ("inverter", "No.", "inverter", "none seen (said)"),
        ("charger", "not seen", "mains_charger", "not looked (said)"),
        ("solar", "no", "solar_panel", "none seen (said)"),
        ("inlet", "Don’t know", "inlet", "not looked (said)"),
    ],
)
def test_none_and_not_known_tell_how_far_was_looked(id: str, said: str, kind: str, looked: str) -> None:
    data = after(id, said)
    assert data["looked_for"] == {kind: looked}
    assert "parts" not in data


@pytest.mark.parametrize(
    ("said", "rating"),
    [
        ("2000", "2000 W (said)"),
        ("2 kW", "2 kW (said)"),
        ("about 1500 W (label)", "about 1500 W (label)"),
        ("yes", "unknown (said)"),
        ("2000 (label)", "2000 W (label)"),
    ],
)
def test_an_inverter(said: str, rating: str) -> None:
    assert after("inverter", said)["parts"]["inverter"] == {"kind": "inverter", "rating": rating}


@pytest.mark.parametrize(
    ("said", "connected"),
    [
        ("plugged into an outlet", "plugged_in (said)"),
        ("Wired in", "hard_wired (said)"),
        ("yes", "unknown (said)"),
    ],
)
def test_a_charger(said: str, connected: str) -> None:
    assert after("charger", said)["parts"]["mains_charger"]["connected"] == connected


def test_a_charger_inside_the_inverter_makes_one_part_of_both() -> None:
    text = "case: x\nparts: {inv: {kind: inverter, rating: 2 kW}}\n"
    assert after("charger", "in the inverter", text)["parts"] == {
        "inv": {"kind": "inverter_charger", "rating": "2 kW"}
    }


@pytest.mark.parametrize(
    ("id", "said", "part", "field", "value"),
    [
        ("chemistry", "lithium", "b1", "chemistry", "LFP | lithium_other (said)"),
        ("chemistry", "AGM (label)", "b1", "chemistry", "AGM (label)"),
        ("chemistry", "dunno", "b1", "chemistry", "unknown (said)"),
        ("main_fuse", "not seen", "b1", "main_fuse", "unknown (said)"),
        ("charger_on_inverter", "yes (seen)", "mains_charger", "live_on_inverter", "yes (seen)"),
        ("controller_place", "at the other end", "solar_controller", "place", "at the other end"),
    ],
)
def test_an_answer_about_a_part_stands_in_it(id: str, said: str, part: str, field: str, value: str) -> None:
    assert after(id, said, PARTS)["parts"][part][field] == value


@pytest.mark.parametrize(
    ("said", "earth"), [("yes", "proven"), ("not tested", "not_proven"), ("failed", "broken")]
)
def test_the_earth(said: str, earth: str) -> None:
    assert after("earth", said, PARTS)["mains"] == {"earth": f"{earth} (said)"}


@pytest.mark.parametrize(
    ("id", "said", "value"),
    [
        ("region", "nz", "NZ"),
        ("region", "New Zealand", "NZ"),
        ("region", "don't know", "other"),
        ("kind", "tiny house", "tiny_house"),
        ("kind", "hut", "cabin"),
    ],
)
def test_kind_and_region_are_words_of_the_frame(id: str, said: str, value: str) -> None:
    assert after(id, said)[id] == value


def test_a_complaint_stands_in_the_owners_words_until_it_is_filed() -> None:
    assert after("complaint", "Flat, by morning!")["complaints"] == {
        "main": {"says": "Flat, by morning!", "symptom": "other"}
    }
    assert after("complaint", "nothing")["complaints"]["main"]["symptom"] == "check_wanted"
    assert after("complaint", "don't know")["notes"] == [
        f"{AT} not known: complaints.main (What bothers you most about it, in your own words?)"
    ]


@pytest.mark.parametrize("said", ["1", "battery flat by morning", "Battery flat by morning."])
def test_a_symptom_is_picked_by_number_or_words(said: str) -> None:
    assert after("symptom", said, PARTS)["complaints"]["main"]["symptom"] == "flat_by_morning"


@pytest.mark.parametrize("said", ["3", "none of these", "none", "don't know"])
def test_no_symptom_picked_is_noted_and_the_complaint_stays_unfiled(said: str) -> None:
    data = after("symptom", said, PARTS)
    assert data["complaints"]["main"]["symptom"] == "other"
    assert "not known: complaints.main.symptom" in data["notes"][0]


@pytest.mark.parametrize(
    ("id", "said", "told"),
    [
        ("symptom", "9", "expected a number from 1 to 3, found '9'"),
        ("region", "Mars", "expected one of: AU, NZ, UK, EU, US, CA, other, found 'Mars'"),
        ("solar", "maybe", "expected one of: yes, no, found 'maybe'"),
    ],
)
def test_what_cannot_be_taken_is_told(id: str, said: str, told: str) -> None:
    with pytest.raises(NotTaken) as caught:
        after(id, said, PARTS.replace("  solar_controller: {kind: solar_controller}\n", ""))
    assert str(caught.value) == told


def test_a_need_takes_its_answer_as_typed() -> None:
    question = Question("b1.capacity", "How many Ah?", "", path="b1.capacity")
    assert (
        case(taken(case(PARTS), question, "200 Ah", AT)).parts["b1"].leaf("capacity").text == "200 Ah (said)"
    )
