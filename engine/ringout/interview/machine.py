"""The interview as a pure machine: from a case as written, the next question; from an answer, the next state.

It reads no clock, no file and no keyboard; the faces (a terminal, a page in a browser) bring them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ringout.case.case import Case
from ringout.case.load import load_text
from ringout.interview import save
from ringout.interview.questions import Need, Question, opening, wanted
from ringout.interview.stop import (
    Danger,
    Stop,
    drills,
    note_of,
    note_of_going_on,
    sign_of,
    signs_in,
    standing,
)
from ringout.interview.symptoms import OTHER
from ringout.interview.take import DONT_KNOW, NO, YES, NotTaken, picked_symptom, plain, taken
from ringout.text.problem import Unusable, shown

LATER = "later"
SIGNS = ("habits", "danger_signs")
_DANGER_FIRST = "such a sign comes before everything else"


@dataclass(frozen=True, slots=True)
class State:
    """A sitting: the file as written so far, and what holds for this sitting only.

    `later` are questions put off and `given` those answered, by id; `danger` waits to be confirmed; `denied`
    are signs said not to be there; `looked`: danger signs were asked for; `left` minutes, None for no limit.
    """

    file: str
    text: str
    later: frozenset[str] = frozenset()
    given: frozenset[str] = frozenset()
    danger: Danger | None = None
    denied: frozenset[str] = frozenset()
    looked: bool = False
    stopped: Stop | None = None
    left: int | None = None

    @property
    def case(self) -> Case:
        """The case as it stands. Raises Unusable where the file cannot be used."""
        return load_text(self.text, self.file)


@dataclass(frozen=True, slots=True)
class Again:
    """An answer that could not be taken: the same question stands. Its text is one line."""

    expected: str
    found: str
    hint: str = ""

    def __str__(self) -> str:
        return f"expected {self.expected}, found {self.found}" + (f"; {self.hint}" if self.hint else "")


def next_question(state: State, needs: Sequence[Need] = ()) -> Question | None:
    """The next question; None where the interview ends: stopped, out of time, or nothing left to ask.

    Danger comes before all else, then the opening questions, then what the review needs. Raises Unusable
    where the file cannot be used.
    """
    if state.stopped:
        return None
    if state.danger:
        said = f"You said {shown(state.danger.says)}. Is that so now?"
        return Question("confirm", said, _DANGER_FIRST, "confirm", ("yes", "no"), first=True)
    stop = standing(state.case.frame.notes)
    if stop:
        ask = f"Since the stop at {stop.at}: has it been made safe?"
        why = f"the questions go on only once {stop.until}"
        return Question("made_safe", ask, why, "made_safe", ("yes", "no"), first=True)
    return next(iter(remaining(state, needs)), None)


def remaining(state: State, needs: Sequence[Need] = ()) -> list[Question]:
    """The questions open now, in order, each as far as the minutes left allow it. Raises Unusable."""
    case = state.case
    asks = [*opening(case, looked=state.looked), *wanted(case, needs)]
    paths: set[str] = set()
    found = []
    for question in asks:
        put_off = question.id in state.later or question.id in state.given
        too_long = state.left is not None and question.minutes > state.left
        if not put_off and not too_long and question.path not in paths:
            found.append(question)
        paths |= {question.path} - {""}
    return found


def answer(state: State, question: Question, text: str, at: str) -> State | Again:
    """The state after an answer, or why it cannot be taken. `at` is date and time, as "2026-05-03 10:05".

    "don't know" and "later" are always allowed. Words of danger in any answer are asked about next.
    """
    said = " ".join(text.split())
    if not said:
        return Again("an answer, 'don't know' or 'later'", "nothing")
    try:
        if question.takes in ("confirm", "made_safe", "danger"):
            return _about_danger(state, question, said, at)
        if plain(said) == LATER:
            return replace(state, later=state.later | {question.id})
        return _answered(state, question, said, at)
    except NotTaken as fault:
        return Again(fault.expected, fault.found)
    except Unusable as fault:
        first = fault.problems[0]
        return Again(first.expected, first.found, first.hint)
    except ValueError as fault:  # the editor cannot put it into a file written in this way
        return Again("an answer that the file can hold", shown(said), f"{fault}; write it there by hand")


def _answered(state: State, question: Question, said: str, at: str) -> State | Again:
    case = state.case
    signs = signs_in(f"{said} ({_thing(case, question)})")
    danger = Danger(signs[0], said) if signs else None
    try:
        text = taken(case, question, said, at)
        load_text(text, state.file)
    except (NotTaken, Unusable, ValueError):
        if danger is None:
            raise
        return replace(state, danger=danger)
    if question.takes == "symptom":
        danger = _picked_danger(state, case, question, said)
    left = None if state.left is None else state.left - question.minutes
    return replace(state, text=text, given=state.given | {question.id}, danger=danger, left=left)


def _thing(case: Case, question: Question) -> str:
    """What the question is about, since the answer "hot" speaks of the battery without naming it."""
    part = case.parts.get(question.path.partition(".")[0])
    return part.kind.replace("_", " ") if part else ""


def _picked_danger(state: State, case: Case, question: Question, said: str) -> Danger | None:
    sign = sign_of(picked_symptom(case, question, said))
    if sign is None or sign in state.denied:
        return None
    return Danger(sign, case.complaints[question.path.split(".")[1]].says)


def _about_danger(state: State, question: Question, said: str, at: str) -> State | Again:
    """The three questions about danger. Only a clear "no" goes on: what is not known may be so."""
    if question.takes == "made_safe":
        return _made_safe(state, said, at)
    if question.takes == "confirm" and state.danger:
        return _confirmed(state, state.danger, said, at)
    word, signs = plain(said), signs_in(said)
    if signs:
        return _stop(state, Danger(signs[0], said), at)
    if word in YES:
        return _stop(state, Danger("unnamed", drills().signs["unnamed"].says), at)
    # "no idea" starts with a no and is none.
    if word in DONT_KNOW or word == LATER:
        return _looked(state, save.UNKNOWN, f"{at} danger signs: not known, so not shown to be safe")
    if word.split()[0].strip(",;") in NO:
        return _looked(state, f"none {save.SAID}", f"{at} danger signs: said to be none")
    return Again("no, or what it is (smell, smoke, heat, tingle, swelling, hiss, water)", shown(said))


def _looked(state: State, value: str, line: str) -> State:
    """The answer about danger signs as a habit of now, which a review judges, and as a line with its time."""
    return replace(state, text=save.note(save.put(state.text, SIGNS, value), line), looked=True)


def _confirmed(state: State, danger: Danger, said: str, at: str) -> State | Again:
    word = plain(said)
    if word in NO:
        denied = state.denied | {danger.sign, *signs_in(danger.says)}
        text = save.note(state.text, f"{at} said not to be so now: {danger.says}")
        # What was felt once stays a danger sign among the complaints, whether it is felt now or not.
        symptom = drills().signs[danger.sign].complaint
        for name, complaint in state.case.complaints.items():
            if complaint.says == danger.says and complaint.symptom == OTHER:
                text = save.put(text, ("complaints", name, "symptom"), symptom)
        return replace(state, text=text, danger=None, denied=denied)
    if word in YES or word in DONT_KNOW or word == LATER:
        return _stop(state, danger, at)
    return Again("yes or no", shown(said))


def _made_safe(state: State, said: str, at: str) -> State | Again:
    stop, word = standing(state.case.frame.notes), plain(said)
    if stop is None:
        return state
    if word in YES and at < stop.not_before:
        return Again(f"'yes' not before {stop.not_before}", f"'yes' at {at}")
    if word in YES:
        return replace(state, text=save.note(state.text, note_of_going_on(stop.danger.sign, at)))
    if word in NO or word in DONT_KNOW or word == LATER:
        return replace(state, stopped=stop)
    return Again("yes or no", shown(said))


def _stop(state: State, danger: Danger, at: str) -> State:
    """The interview ended; the danger stands as a complaint, and as a note that keeps the stop standing."""
    stop, complaints = Stop(danger, at), state.case.complaints
    names = ("danger", *(f"danger{number}" for number in range(2, len(complaints) + 3)))
    name = next(each for each in names if each not in complaints)
    symptom = drills().signs[danger.sign].complaint
    try:
        text = state.text
        for key, value in (("says", danger.says), ("symptom", symptom), ("since", at)):
            text = save.put(text, ("complaints", name, key), value)
        text = save.put(text, SIGNS, f"now {save.SAID}")
        text = save.note(text, note_of(stop))
    except ValueError:  # a file written in an odd way must not keep the drill from being said
        text = state.text
    return replace(state, text=text, danger=None, stopped=stop)
