"""The interview as a pure machine: from a case as written, the next question; from an answer, the next state.

It reads no clock, no file and no keyboard; the faces (a terminal, a page in a browser) bring them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from ringout.case.case import Case
from ringout.case.form import Field, sheet
from ringout.case.frame import LOOKED, REGIONS, VEHICLES
from ringout.case.load import load_text
from ringout.case.statement import NOT_KNOWN as UNKNOWN_WORDS
from ringout.case.statement import ORIGINS
from ringout.interview import save
from ringout.interview.script import ANY, NOT_KNOWN, Step, named, script
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
from ringout.interview.symptoms import OTHER, nearest, symptoms
from ringout.text.problem import Unusable, shown

LATER = "later"
DONT_KNOW = UNKNOWN_WORDS | {"i don't know", "i dont know", "dunno", "no idea", "not sure", "not seen", "not looked"}
YES, NO = ("yes", "y"), ("no", "n", "none", "nothing")
NONE_OF_THESE = "none of these"

_BARE_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_ORIGIN = re.compile(rf"\((?:{'|'.join(ORIGINS)})\b[^()]*\)$")
_LICENSED = "only from a licensed person's test or report; nobody else opens it to look"


class Need(Protocol):
    """What the review wants to know next, the most telling first."""

    @property
    def path(self) -> str: ...
    @property
    def ask(self) -> str: ...
    @property
    def words(self) -> tuple[str, ...]: ...
    @property
    def dimension(self) -> str: ...
    @property
    def where(self) -> str: ...
    @property
    def minutes(self) -> int: ...
    @property
    def access(self) -> str: ...
    @property
    def settles(self) -> tuple[str, ...]: ...


@dataclass(frozen=True, slots=True)
class Question:
    """One question as a face shows it. `takes` tells the machine what to do with the answer.

    `words` are the answers allowed (all, where there are any), `shows` what else may be said, `minutes` how long
    finding out takes, `first` whether it comes before the first screen.
    """

    id: str
    ask: str
    why: str
    takes: str
    words: tuple[str, ...] = ()
    shows: str = ""
    minutes: int = 1
    first: bool = False
    path: str = ""
    step: Step | None = None


@dataclass(frozen=True, slots=True)
class State:
    """A sitting: the file as written so far, and what holds for this sitting only.

    `later` are questions put off and `given` needs answered, by id; `danger` waits to be confirmed; `denied` are
    signs said not to be there; `looked` whether danger signs were asked for; `left` minutes, None for no limit.
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
        """The case as it stands. Raises Unusable where the file is."""
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
    """The next question, None where the interview ends: stopped, out of time, or nothing left to ask.

    Danger comes before all else, then the opening questions, then what the review needs. Raises Unusable.
    """
    if state.stopped:
        return None
    if state.danger:
        said = f"You said {shown(state.danger.says)}. Is that so now?"
        return Question("confirm", said, "such a sign comes before everything else", "confirm", ("yes", "no"), first=True)
    case = state.case
    stop = standing(case.frame.notes)
    if stop:
        ask = f"Since the stop at {stop.at}: is it made safe?"
        return Question("made_safe", ask, f"the questions go on once {stop.until}", "made_safe", ("yes", "no"), first=True)
    return next(iter(remaining(state, case, needs)), None)


def remaining(state: State, case: Case, needs: Sequence[Need]) -> list[Question]:
    """The questions that are open now, in order, as far as the minutes left allow each."""
    asks = [_of_step(step, case) for step in script() if _open(state, step, case)]
    opening = {question.path for question in asks}
    for need in needs:
        if need.path not in opening and need.path not in state.given and not save.asked(case, need.path):
            asks.append(_of_need(need, case))
    return [
        question
        for question in asks
        if question.id not in state.later and (state.left is None or question.minutes <= state.left)
    ]


def answer(state: State, question: Question, text: str, at: str) -> State | Again:
    """The state after an answer, or why it cannot be taken. `at` is the date and time it was given.

    "don't know" and "later" are always allowed. Danger words in any answer are asked about next.
    """
    said = " ".join(text.split())
    if not said:
        return Again("an answer, 'don't know' or 'later'", "nothing")
    word = said.casefold().replace("’", "'").rstrip(".!")
    if question.takes in ("confirm", "made_safe", "danger"):
        return _about_danger(state, question, said, word, at)
    if word == LATER:
        return replace(state, later=state.later | {question.id})
    case = state.case
    try:
        changed: State | Again = _taken(state, case, question, said, word, at)
    except (ValueError, Unusable) as fault:
        changed = _refused(fault, said)
    signs = signs_in(f"{said} ({_thing(case, question)})")
    if signs:
        return replace(state if isinstance(changed, Again) else changed, danger=Danger(signs[0], said))
    return changed


# -- what an answer changes ------------------------------------------------------------------------------------


def _taken(state: State, case: Case, question: Question, said: str, word: str, at: str) -> State | Again:
    unknown = word in DONT_KNOW
    step = question.step
    if question.takes == "complaint":
        made = _complaint(case, question, said, word, at)
    elif question.takes == "symptom":
        return _symptom(state, case, question, word, at)
    elif step and step.finds:
        made = _found(case, step, said, word)
    elif unknown and step and step.not_known:
        made = save.put(state.text, (step.about,), step.not_known)
    elif unknown:
        made = save.say(case, question.path, save.UNKNOWN, question.ask, at)
    else:
        value = _value(step, said, word)
        plain = question.path in ("kind", "region")
        if plain:
            value = _one_of(value, question.words) or value
        made = save.say(case, question.path, value if plain else _with_origin(value), question.ask, at)
    load_text(made, state.file)
    left = None if state.left is None else state.left - question.minutes
    return replace(state, text=made, given=state.given | {question.id}, left=left)


def _complaint(case: Case, question: Question, said: str, word: str, at: str) -> str:
    text = case.document.text
    if word in DONT_KNOW:
        return save.say(case, question.path, save.UNKNOWN, question.ask, at)
    nothing = word in NO
    text = save.put(text, ("complaints", "main", "says"), "nothing, a check is wanted" if nothing else said)
    return save.put(text, ("complaints", "main", "symptom"), "check_wanted" if nothing else OTHER)


def _symptom(state: State, case: Case, question: Question, word: str, at: str) -> State | Again:
    name = question.path.split(".")[1]
    offered = nearest(case.complaints[name].says)
    if word in DONT_KNOW or word in (*NO, NONE_OF_THESE, str(len(offered) + 1)):
        return replace(state, text=save.say(case, question.path, save.UNKNOWN, question.ask, at))
    by_word = {str(number): each for number, each in enumerate(offered, 1)}
    by_word |= {its.says.casefold(): each for each, its in symptoms().items()}
    picked = by_word.get(word)
    if picked is None:
        return Again(f"a number from 1 to {len(offered) + 1}", shown(word))
    sign = sign_of(picked)
    danger = Danger(sign, case.complaints[name].says) if sign and sign not in state.denied else None
    text = save.put(state.text, ("complaints", name, "symptom"), picked)
    return replace(state, text=text, danger=danger)


def _found(case: Case, step: Step, said: str, word: str) -> str:
    """The text with the part that was found, or with how far it was looked for."""
    value = _value(step, said, word)
    answers = {listed.casefold(): listed for listed in step.puts}
    key = NOT_KNOWN if word in DONT_KNOW else answers.get(value.casefold(), ANY)
    if key not in step.puts:
        raise ValueError(f"expected one of {step.shows}, found {shown(said)}")
    return _put_all(case, step.puts[key], value)


def _put_all(case: Case, puts: Mapping[str, str], value: str) -> str:
    origin = _ORIGIN.search(value)
    bare = value[: origin.start()].rstrip() if origin else value
    text = case.document.text
    for path, template in puts.items():
        made = template.replace("ANSWER", bare).replace(save.SAID, origin[0] if origin else save.SAID)
        text = save.put(text, tuple(named(path, case).split(".")), made)
    return text


def _value(step: Step | None, said: str, word: str) -> str:
    """An answer as the file has it: other ways to say it resolved, the unit of the question put behind a number."""
    if step is None:
        return said
    origin = _ORIGIN.search(said)
    tail = f" {origin[0]}" if origin else ""
    bare = said[: origin.start()].rstrip() if origin else said
    key = bare.casefold().rstrip(".!")
    if key in step.also:
        return step.also[key] + tail
    if step.unit and _BARE_NUMBER.fullmatch(bare):
        return f"{bare} {step.unit}{tail}"
    return bare + tail


def _with_origin(value: str) -> str:
    return value if _ORIGIN.search(value) else f"{value} {save.SAID}"


def _refused(fault: ValueError | Unusable, said: str) -> Again:
    if isinstance(fault, Unusable):
        first = fault.problems[0]
        return Again(first.expected, first.found, first.hint)
    found = re.fullmatch(r"expected (.*), found (.*)", str(fault))
    return Again(found[1], found[2]) if found else Again("an answer that the file can hold", shown(said), str(fault))


# -- danger ----------------------------------------------------------------------------------------------------


def _about_danger(state: State, question: Question, said: str, word: str, at: str) -> State | Again:
    """The three questions about danger. Here only a clear "no" goes on: what is not known may be so."""
    yes, no = word in YES, word in NO
    if question.takes == "confirm" and state.danger:
        if no:
            return replace(state, danger=None, denied=state.denied | set(signs_in(state.danger.says)) | {state.danger.sign})
        if yes or word in DONT_KNOW or word == LATER:
            return _stop(state, state.danger, at)
        return Again("yes or no", shown(said))
    if question.takes == "made_safe":
        return _made_safe(state, said, word, at)
    signs = signs_in(said)
    if signs:
        return _stop(state, Danger(signs[0], said), at)
    if yes:
        return _stop(state, Danger("unnamed", "yes"), at)
    if no or word.startswith(("no ", "no,", "none ", "nothing ")):
        return replace(state, text=save.note(state.text, f"{at} asked for danger signs: none"), looked=True)
    if word in DONT_KNOW or word == LATER:
        text = save.note(state.text, f"{at} asked for danger signs: not known, so not shown to be safe")
        return replace(state, text=text, looked=True)
    return Again("'no', or what it is (smell, smoke, heat, tingle, swelling, hiss, water)", shown(said))


def _made_safe(state: State, said: str, word: str, at: str) -> State | Again:
    stop = standing(state.case.frame.notes)
    if stop is None:
        return state
    if word in YES and at < stop.not_before:
        return Again(f"'yes' not before {stop.not_before}", f"{at} now")
    if word in YES:
        return replace(state, text=save.note(state.text, note_of_going_on(stop.danger.sign, at)))
    if word in NO or word in DONT_KNOW or word == LATER:
        return replace(state, stopped=stop)
    return Again("yes or no", shown(said))


def _stop(state: State, danger: Danger, at: str) -> State:
    """The interview ended; the danger is written down as a complaint and as a note that keeps the stop standing."""
    stop = Stop(danger, at)
    case = state.case
    same = [name for name, each in case.complaints.items() if each.says == danger.says]
    free = next(name for name in ("danger", *(f"danger{n}" for n in range(2, 1000))) if name not in case.complaints)
    name = same[0] if same else free
    symptom = drills().signs[danger.sign].complaint
    try:
        text = save.put(state.text, ("complaints", name, "says"), danger.says)
        text = save.put(text, ("complaints", name, "symptom"), symptom)
        text = save.note(save.put(text, ("complaints", name, "since"), at), note_of(stop))
    except ValueError:  # a file written in an odd way must not keep the drill from being said
        text = state.text
    return replace(state, text=text, danger=None, stopped=stop)


# -- questions -------------------------------------------------------------------------------------------------


def _open(state: State, step: Step, case: Case) -> bool:
    if step.takes == "danger":
        return not state.looked
    if step.takes == "complaint":
        return not case.complaints and not save.asked(case, step.about)
    if step.takes == "symptom":
        return bool(_unfiled(case))
    return step.open(case)


def _unfiled(case: Case) -> str:
    """The path of the first complaint that is filed under no symptom yet, or ""."""
    paths = [f"complaints.{name}.symptom" for name, each in case.complaints.items() if each.symptom == OTHER]
    return next((path for path in paths if not save.asked(case, path)), "")


def _of_step(step: Step, case: Case) -> Question:
    path = _unfiled(case) if step.takes == "symptom" else step.path(case)
    words, shows, minutes = (), step.shows, 1
    field = field_of(case, path)
    if step.takes == "symptom":
        offered = nearest(case.complaints[path.split(".")[1]].says)
        words = (*(symptoms()[each].says for each in offered), NONE_OF_THESE)
    elif path in ("kind", "region"):
        words = VEHICLES if path == "kind" else REGIONS
    elif field is not None:
        words, minutes = () if shows else field.options, field.minutes
    return Question(step.id, step.ask, step.why, step.takes, words, shows, minutes, step.first, path, step)


def _of_need(need: Need, case: Case) -> Question:
    ask, why = need.ask, "it settles: " + "; ".join(need.settles[:2]) if need.settles else "it is not known yet"
    if need.access == "licensed":
        ask, why = f"Has a licensed person found out? {ask}", _LICENSED
    words = LOOKED if need.path.startswith("looked_for.") else need.words
    field = field_of(case, need.path)
    shows = "" if words else (field.shows if field and hasattr(field, "shows") else f"a {need.dimension.replace('_', ' ')}")
    return Question(need.path, ask, why, "value", words, shows, need.minutes, path=need.path)
