"""Danger is heard in what people say, denials are believed only where they are plain, drills are complete."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.case.form import sheet
from ringout.case.frame import REGIONS
from ringout.interview.stop import (
    Danger,
    Stop,
    drill,
    drills,
    note_of,
    note_of_going_on,
    sign_of,
    signs_in,
    standing,
)

AT = "2026-05-03 10:05"


@pytest.mark.parametrize(
    ("said", "sign"),
    [
        ("there is a smell of burning", "smell"),
        ("It smokes when the kettle boils", "smell"),
        ("sparks at the post", "smell"),
        ("the plug gets hot", "heat"),
        ("socket melted", "heat"),
        ("The plug. It gets hot.", "heat"),
        ("we feel a tingle at the tap", "tingle"),
        ("he got a shock", "tingle"),
        ("a buzz when I touch the door", "tingle"),
        ("one battery is swollen", "swelling"),
        ("battery bulges at the side", "swelling"),
        ("it hisses", "hiss"),
        ("water came into the inlet", "water"),
        ("the outlet is wet", "water"),
        # denied, and then said of something else
        ("no smell, but the plug is hot", "heat"),
        ("no smell and the plug is hot", "heat"),
        ("no tingle. It smells burnt though", "smell"),
        ("nothing is wrong with the inverter since the smell", "smell"),
        # denials of other things
        ("does not charge because the plug is hot", "heat"),
        ("not charging plug hot", "heat"),
        ("no RCD smell", "smell"),
        # not known is not denied
        ("not sure about a smell", "smell"),
        ("I don't know if it tingles", "tingle"),
        ("I don’t know if it tingles", "tingle"),
        ("not only a tingle", "tingle"),
    ],
)
def test_danger_is_heard(said: str, sign: str) -> None:
    assert sign in signs_in(said)


@pytest.mark.parametrize(
    "said",
    [
        "no smell",
        "No smell or heat or tingle",
        "never had any tingle",
        "the plug is not hot",
        "it isn't hot at the plug",
        "nothing smells",
        "there was no sign of a smell",
        "without any smoke",
        # words that only sound like danger
        "flat by morning when away",
        "the hot water heater trips the inverter",
        "the inverter buzzes",
        "flooded batteries",
        "it was a hot summer",
        "water pump runs slowly, and the inverter beeps",
        "smoke alarm beeps",
        "plugged into an outlet",
        "at the other end",
    ],
)
def test_no_danger_is_heard(said: str) -> None:
    assert signs_in(said) == ()


def test_the_gravest_sign_comes_first() -> None:
    assert signs_in("a tingle, and it smells") == ("smell", "tingle")


@given(st.text(max_size=80))
def test_any_text_can_be_heard(said: str) -> None:
    assert set(signs_in(said)) <= set(drills().signs)


@given(
    st.sampled_from(["it smells burnt", "a swollen battery", "we feel a tingle", "the plug is hot"]),
    st.text(max_size=30),
)
def test_words_in_front_of_another_sentence_hide_nothing(said: str, before: str) -> None:
    assert signs_in(f"{before}. {said}") != ()


def test_every_dangerous_symptom_is_a_sign() -> None:
    dangerous = {
        "tingle", "shock", "body_live", "warm_plug", "melted", "smell", "smoke", "sparks", "flame", "burst",
        "acid", "hiss", "swelling", "water_in_mains", "battery_hot", "battery_bubbling",
    }  # fmt: skip
    known = set(sheet("complaint").fields["symptom"].options)
    assert {symptom for symptom in known if sign_of(symptom)} == dangerous


def test_signs_name_symptoms_that_a_case_may_hold() -> None:
    known = set(sheet("complaint").fields["symptom"].options)
    for sign in drills().signs.values():
        assert {sign.complaint, *sign.symptoms} <= known


@pytest.mark.parametrize("sign", list(drills().signs))
@pytest.mark.parametrize("region", [*REGIONS, ""])
def test_a_drill_says_what_to_do_whom_to_call_and_when_to_go_on(sign: str, region: str) -> None:
    lines = drill(Stop(Danger(sign, "said"), AT), region)
    assert lines[0].startswith("STOP: ")
    assert lines[2].startswith("1. ")
    assert any(line.startswith("Emergency number: ") for line in lines)
    assert any(AT in line and "go on only once" in line for line in lines)
    assert not any("!" in line for line in lines)


@pytest.mark.parametrize(
    ("region", "number"),
    # Common public knowledge, from memory; EU: Directive (EU) 2018/1972 (directive, 2018), article 109.
    [
        ("AU", "000"),
        ("NZ", "111"),
        ("UK", "999"),
        ("EU", "112"),
        ("US", "911"),
        ("CA", "911"),
        ("other", "112"),
    ],
)
def test_the_number_to_call_is_that_of_the_region(region: str, number: str) -> None:
    line = next(each for each in drill(Stop(Danger("smell", ""), AT), region) if each.startswith("Emergency"))
    assert number in line


def test_nobody_is_told_to_open_or_to_pull() -> None:
    told = " ".join(line for sign in drills().signs.values() for line in sign.safe)
    assert "unscrew" not in told
    assert "remove the cover" not in told


def test_the_wait_is_counted_from_the_time_noted() -> None:
    assert Stop(Danger("smell", ""), "2026-05-03 23:30").not_before == "2026-05-04 00:30"
    assert Stop(Danger("tingle", ""), AT).not_before == AT


def test_a_stop_stands_until_it_is_lifted() -> None:
    stop = Stop(Danger("heat", "plug, hot"), AT)
    assert standing(["bought new", note_of(stop)]) == stop
    assert standing([note_of(stop), note_of_going_on("heat", AT)]) is None
    assert standing([note_of(stop), note_of_going_on("heat", AT), note_of(stop)]) == stop
    assert standing(["2026-05-03 10:05 stopped: lunch"]) is None


def test_a_stop_with_a_mistyped_time_still_stands() -> None:
    stop = standing(["2026-13-45 10:05 stopped: heat, said: hot plug"])
    assert stop is not None
    assert stop.not_before == "2026-13-45 10:05"
