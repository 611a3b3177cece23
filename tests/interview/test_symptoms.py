"""Complaints in people's words find their symptom."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.case.form import sheet
from ringout.interview.symptoms import MOST_OFFERED, nearest, read_symptoms, symptoms
from ringout.text.document import read_text
from ringout.text.problem import Unusable


@pytest.mark.parametrize(
    ("said", "symptom"),
    [
        ("flat by morning when away", "flat_by_morning"),
        ("The kettle trips the inverter", "inverter_trips"),
        ("it never gets full", "never_full"),
        ("lights go dim", "lights_dim"),
        ("swollen battery", "swelling"),
        ("nothing from the solar panels", "no_charge_from_solar"),
        ("the radio hums", "radio_noise"),
        # a rare word tells more than a common one
        ("a recall of the battery", "recall"),
    ],
)
def test_the_nearest_symptom_is_offered_first(said: str, symptom: str) -> None:
    assert nearest(said)[0] == symptom


def test_what_is_not_recognised_gets_the_common_ones() -> None:
    assert nearest("it just annoys me") == tuple(name for name, its in symptoms().items() if its.common)


@given(st.text(max_size=60))
def test_something_is_always_offered_but_never_too_much(said: str) -> None:
    offered = nearest(said)
    assert 1 <= len(offered) <= MOST_OFFERED
    assert len(set(offered)) == len(offered)


def test_every_symptom_of_a_case_has_its_words() -> None:
    assert set(symptoms()) == set(sheet("complaint").fields["symptom"].options) - {"other"}


def test_no_two_symptoms_read_alike() -> None:
    said = [its.says for its in symptoms().values()]
    assert len(set(said)) == len(said)


def test_a_faulty_list_is_refused_with_its_place() -> None:
    with pytest.raises(Unusable) as caught:
        read_symptoms(read_text("lights_dimm: {says: dim, words: [dim]}\n", "s.yaml"))
    assert "s.yaml:1:1: expected a known symptom" in str(caught.value)
    assert "did you mean 'lights_dim'?" in str(caught.value)
    assert "expected the symptom lights_dim" in str(caught.value)
