"""Questions as a face shows them."""

from __future__ import annotations

from dataclasses import dataclass

from ringout.case.case import Case
from ringout.case.frame import LOOKED, REGIONS
from ringout.case.load import load_text
from ringout.interview.questions import NONE_OF_THESE, opening, unfiled, wanted
from ringout.quantity.unit import DIMENSIONS


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


def case(text: str) -> Case:
    return load_text(text, "van.yaml")


def test_a_new_case_is_asked_from_the_complaint_on() -> None:
    ids = [question.id for question in opening(case("case: x\n"), looked=False)]
    assert ids[:4] == ["complaint", "danger", "region", "batteries"]
    assert "symptom" not in ids
    assert "chemistry" not in ids


def test_danger_is_asked_once_a_sitting() -> None:
    assert "danger" not in [question.id for question in opening(case("case: x\n"), looked=True)]


def test_a_complaint_in_the_file_is_filed_and_not_asked_again() -> None:
    filed, unfiled_yet = "a: {says: flat, symptom: flat_by_morning}", "b: {says: dim, symptom: other}"
    made = case(f"case: x\ncomplaints:\n  {filed}\n  {unfiled_yet}\n")
    assert unfiled(made) == "complaints.b.symptom"
    asks = {question.id: question for question in opening(made, looked=True)}
    assert "complaint" not in asks
    assert asks["symptom"].words[0] == "lights go dim"
    assert asks["symptom"].words[-1] == NONE_OF_THESE


def test_words_come_from_the_form_unless_the_question_shows_its_own() -> None:
    asks = {q.id: q for q in opening(case("case: x\nparts: {b1: {kind: battery}}\n"), looked=True)}
    assert asks["main_fuse"].words == ("yes", "no")
    assert asks["main_fuse"].minutes == 2
    assert asks["region"].words == REGIONS
    assert asks["chemistry"].words == ()
    assert "lithium" in asks["chemistry"].shows


def test_a_need_becomes_a_question_with_what_it_settles() -> None:
    need = Wanted(
        "chg.output", "How many amps?", dimension="current", minutes=5, settles=("One", "Two", "Three")
    )
    (question,) = wanted(case("case: x\n"), [need])
    assert (question.id, question.path, question.ask, question.minutes) == (
        "chg.output",
        "chg.output",
        need.ask,
        5,
    )
    assert question.why == "it settles: One; Two"
    assert question.shows == f"{DIMENSIONS['current'].words}, such as {DIMENSIONS['current'].example}"
    assert not question.first


def test_how_far_a_kind_was_looked_for_has_its_own_words() -> None:
    (question,) = wanted(case("case: x\n"), [Wanted("looked_for.fuse", words=("x",))])
    assert question.words == LOOKED


def test_what_only_a_licensed_person_may_test_is_asked_as_hearsay_only() -> None:
    (question,) = wanted(
        case("case: x\n"), [Wanted("inlet.earth", "Is it proven?", minutes=10, access="licensed")]
    )
    assert question.ask == "Has a licensed person found out? Is it proven?"
    assert "do not open it" in question.why
    assert question.minutes == 1


def test_needs_already_asked_are_left_out() -> None:
    note = "2026-05-03 10:05 not known: chg.output (How many?)"
    text = f'case: x\nmains: {{rcd: unknown (said)}}\nnotes: ["{note}"]\n'
    needs = [Wanted("mains.rcd"), Wanted("chg.output"), Wanted("mains.earth")]
    assert [question.id for question in wanted(case(text), needs)] == ["mains.earth"]


def test_a_count_and_a_text_say_what_is_expected() -> None:
    count, text = wanted(case("case: x\n"), [Wanted("b.count", dimension="count"), Wanted("confirm.a.b")])
    assert count.shows == "a whole number, such as 2"
    assert text.shows == "a few words"
