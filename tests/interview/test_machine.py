"""The interview as a machine: order, danger first, nothing asked twice, every state a whole file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringout.case.load import load_text
from ringout.interview import save
from ringout.interview.machine import Again, State, answer, next_question, remaining
from ringout.interview.questions import Need, Question
from ringout.interview.save import new_case
from ringout.interview.script import script
from ringout.interview.stop import Danger, Stop

AT, LATER_AT = "2026-05-03 10:05", "2026-05-03 12:00"
NEW = State("hide.yaml", new_case("the hide"))
OPEN = replace(NEW, looked=True)


@dataclass(frozen=True, slots=True)
class Wanted:
    """A need as the review states it."""

    path: str
    ask: str = "Which?"
    words: tuple[str, ...] = ()
    dimension: str = ""
    minutes: int = 2
    access: str = "bare_hand"
    settles: tuple[str, ...] = ()


def told(state: State, *answers: str, needs: tuple[Need, ...] = (), at: str = AT) -> State:
    """The state after some answers, each of which must be taken."""
    for said in answers:
        question = next_question(state, needs)
        assert question is not None, said
        made = answer(state, question, said, at)
        assert isinstance(made, State), f"{question.ask} {said}: {made}"
        load_text(made.text, made.file)
        state = made
    return state


def asked_for(state: State, needs: tuple[Need, ...] = ()) -> str:
    question = next_question(state, needs)
    return question.id if question else ""


def ids(state: State, needs: tuple[Need, ...] = ()) -> Iterator[str]:
    return (question.id for question in remaining(state, needs))


# -- order ---------------------------------------------------------------------------------------------------


def test_the_first_ten_come_in_order_and_then_the_needs_of_the_review() -> None:
    state, seen = NEW, []
    for said in ("flat by morning", "1", "no", "NZ", "2", "lithium", "2 kW", "plugged in", "no", "yes"):
        seen.append(asked_for(state))
        state = told(state, said)
    assert seen == [step.id for step in script() if step.first]
    state = replace(state, later=frozenset(step.id for step in script()))
    assert asked_for(state, (Wanted("battery.capacity"),)) == "battery.capacity"


def test_what_the_opening_asks_is_not_asked_by_the_review_too() -> None:
    needs = (Wanted("mains.rcd"), Wanted("mains.earth"))
    assert list(ids(OPEN, needs)).count("rcd") == 1
    assert "mains.rcd" not in ids(OPEN, needs)
    assert "mains.earth" in ids(OPEN, needs)


def test_later_is_for_this_sitting_and_changes_no_file() -> None:
    state = told(NEW, "later")
    assert state.text == NEW.text
    assert "complaint" not in ids(state)
    assert asked_for(State(state.file, state.text)) == "complaint"


@pytest.mark.parametrize("said", ["don't know", "Don’t know.", "unknown", "?", "not seen"])
def test_dont_know_is_taken_everywhere_and_never_asked_again(said: str) -> None:
    needs = (Wanted("inverter.idle", dimension="power"), Wanted("habits.changed_last"), Wanted("confirm.a.b"))
    state, seen = NEW, []
    while question := next_question(state, needs):
        seen.append(question.id)
        state = told(state, said, needs=needs)
    assert len(seen) == len(set(seen))
    assert list(ids(State(state.file, state.text), needs)) == ["danger"]


def test_an_answer_that_leaves_a_range_is_asked_again_only_in_another_sitting() -> None:
    text = "case: x\nparts: {inv: {kind: inverter}}\n"
    needs = (Wanted("inv.idle", dimension="power"),)
    state = State("x", text, looked=True, later=frozenset(step.id for step in script()))
    state = told(state, "about 12 W", needs=needs)
    assert asked_for(state, needs) == ""
    assert "inv.idle" in ids(State("x", state.text), needs)


def test_minutes_leave_out_what_takes_too_long_and_run_out() -> None:
    needs = (Wanted("a.b", minutes=20), Wanted("mains.earth_ohm", minutes=1))
    state = replace(OPEN, left=2, later=frozenset(step.id for step in script()))
    assert list(ids(state, needs)) == ["mains.earth_ohm"]
    state = told(state, "don't know", needs=needs)
    assert state.left == 1
    assert asked_for(replace(OPEN, left=0)) == ""


# -- what cannot be taken ------------------------------------------------------------------------------------


def after(state: State, said: str, needs: tuple[Need, ...] = ()) -> State | Again:
    question = next_question(state, needs)
    assert question is not None
    return answer(state, question, said, AT)


def only(id: str, state: State = OPEN) -> State:
    """A state in which one opening question is left."""
    return replace(state, later=frozenset(step.id for step in script()) - {id})


@pytest.mark.parametrize(
    ("id", "said", "told"),
    [
        ("batteries", "   ", "expected an answer, 'don't know' or 'later', found nothing"),
        ("batteries", "a few", "expected a whole number, such as 2 or 2..4, found 'a few'"),
        ("inverter", "2 kA", "expected"),
        ("rcd", "perhaps", "expected one of yes, no, found 'perhaps'"),
        ("rcd", "yes (guessed)", "expected"),
        ("region", "Mars", "expected one of: AU, NZ, UK, EU, US, CA, other, found 'Mars'"),
    ],
)
def test_an_answer_that_cannot_be_taken_is_told_on_one_line(id: str, said: str, told: str) -> None:
    made = after(only(id), said)
    assert isinstance(made, Again)
    assert str(made).startswith(told)
    assert "\n" not in str(made)


def test_a_slip_of_the_pen_gets_a_hint() -> None:
    state = replace(only("main_fuse"), text="case: x\nparts: {b1: {kind: battery}}\n")
    made = after(state, "yess")
    assert isinstance(made, Again)
    assert made.hint == "did you mean 'yes'?"


def test_half_a_character_is_no_answer() -> None:
    made = after(NEW, "flat \udce9")
    assert isinstance(made, Again)
    assert "no file can hold" in str(made)


@settings(max_examples=150)
@given(st.text(max_size=40), st.sampled_from([step.id for step in script()]))
def test_whatever_is_typed_the_file_stays_whole(said: str, id: str) -> None:
    text = "case: x\ncomplaints: {a: {says: dim, symptom: other}}\nparts:\n  b: {kind: battery}\n"
    question = next((each for each in remaining(State("x", text)) if each.id == id), None)
    if question is not None:
        made = answer(State("x", text), question, said, AT)
        load_text(made.text if isinstance(made, State) else text, "x")


# -- danger --------------------------------------------------------------------------------------------------


def test_danger_words_in_any_answer_are_asked_about_next() -> None:
    state = told(NEW, "flat by morning and it smells burnt")
    question = next_question(state)
    assert question is not None
    assert question.ask == "You said 'flat by morning and it smells burnt'. Is that so now?"
    assert "smells burnt" in state.text


def test_danger_words_count_even_where_the_answer_cannot_be_taken() -> None:
    state = told(only("batteries"), "two, one is swollen")
    assert state.danger == Danger("swelling", "two, one is swollen")
    state = told(state, "no")
    assert asked_for(state) == "batteries"


def test_a_bare_hot_is_about_the_part_that_is_asked_about() -> None:
    text = "case: x\nparts: {b1: {kind: battery}}\n"
    state = State("x", text, looked=True, later=frozenset(step.id for step in script()))
    state = told(state, "hot", needs=(Wanted("b1.battery_signs"),))
    assert state.danger == Danger("heat", "hot")


@pytest.mark.parametrize("said", ["yes", "Y", "don't know", "later"])
def test_only_a_clear_no_lets_the_questions_go_on(said: str) -> None:
    state = told(NEW, "the plug is hot", said)
    assert state.stopped == Stop(Danger("heat", "the plug is hot"), AT)
    assert next_question(state) is None
    made = load_text(state.text, "x")
    assert made.complaints["danger"].symptom == "warm_plug"
    assert made.complaints["danger"].since == AT
    assert made.complaints["main"].says == "the plug is hot"
    assert made.frame.notes == [f"{AT} stopped: heat, said: the plug is hot"]


def test_no_goes_on_and_the_sign_stays_the_symptom() -> None:
    state = told(NEW, "it smelt of burning last year", "no")
    assert f"{AT} said not to be so now: it smelt of burning last year" in state.text
    # What was smelt once stays a danger sign among the complaints, whether it is smelt now or not.
    assert [each.symptom for each in state.case.complaints.values()] == ["smell"]
    assert state.danger is None
    assert asked_for(state) == "danger"


def test_a_symptom_that_is_a_danger_is_asked_about() -> None:
    state = told(NEW, "the lead gets a bit too much", "a warm or hot plug or lead")
    assert state.danger == Danger("heat", "the lead gets a bit too much")


@pytest.mark.parametrize(
    ("said", "sign"),
    [("yes", "unnamed"), ("a tingle at the tap", "tingle"), ("no smell, but the plug is hot", "heat")],
)
def test_a_sign_named_when_asked_for_stops_at_once(said: str, sign: str) -> None:
    state = told(only("danger", NEW), said)
    assert state.stopped is not None
    assert state.stopped.danger.sign == sign


@pytest.mark.parametrize("said", ["no", "Nope", "None.", "no, all well", "nothing"])
def test_no_sign_is_noted_with_its_time(said: str) -> None:
    state = told(only("danger", NEW), said)
    assert f"{AT} danger signs: said to be none" in state.text
    assert state.case.habits.word("danger_signs") == "none"
    assert state.looked


@pytest.mark.parametrize("said", ["don't know", "no idea", "No idea.", "later"])
def test_signs_not_known_are_noted_as_not_shown_to_be_safe(said: str) -> None:
    text = told(only("danger", NEW), said).text
    assert "not known, so not shown to be safe" in text
    assert "said to be none" not in text
    leaf = load_text(text, "x").habits.leaf("danger_signs")
    assert (leaf.asked, leaf.domain.exact) == (True, False)


def test_a_later_answer_about_danger_signs_takes_the_place_of_an_earlier_one() -> None:
    state = State("x", told(only("danger", NEW), "don't know").text)
    assert told(only("danger", state), "no").case.habits.word("danger_signs") == "none"
    stopped = told(only("danger", state), "smoke")
    assert stopped.stopped is not None
    assert load_text(stopped.text, "x").habits.word("danger_signs") == "now"


def test_a_bare_yes_is_written_down_in_words() -> None:
    made = load_text(told(only("danger", NEW), "yes").text, "x")
    assert made.complaints["danger"].says == "a sign of danger"


@pytest.mark.parametrize("said", ["well", "perhaps", "not really"])
def test_an_unclear_answer_about_danger_is_asked_again(said: str) -> None:
    assert isinstance(after(only("danger", NEW), said), Again)
    assert isinstance(after(replace(NEW, danger=Danger("heat", "hot plug")), said), Again)


def test_the_stop_stands_in_the_next_sitting_until_made_safe() -> None:
    state = State("x", told(NEW, "the plug is hot", "yes").text)
    assert asked_for(state) == "made_safe"
    again = told(state, "no", at=LATER_AT)
    assert again.stopped == Stop(Danger("heat", "the plug is hot"), AT)
    early = after(state, "yes")
    assert str(early) == "expected 'yes' not before 2026-05-03 11:05, found 'yes' at 2026-05-03 10:05"
    on = told(state, "yes", at=LATER_AT)
    assert f"{LATER_AT} goes on: heat" in on.text
    assert asked_for(on) == "symptom"
    assert "danger" in ids(on)


def test_two_stops_are_written_down_apart() -> None:
    state = State("x", told(NEW, "the plug is hot", "yes").text)
    state = told(state, "yes", "none of these", "sparks at the post", at=LATER_AT)
    assert set(load_text(state.text, "x").complaints) == {"main", "danger", "danger2"}


def test_the_drill_is_not_kept_back_by_a_file_that_takes_no_change(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(text: str, line: str) -> str:
        raise ValueError("the file is written in a way in which this change would disturb other values")

    monkeypatch.setattr(save, "note", refuse)
    state = answer(NEW, Question("danger", "", "", "danger"), "smoke", AT)
    assert isinstance(state, State)
    assert state.stopped is not None
    assert state.text == NEW.text
