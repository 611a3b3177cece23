"""What an answer changes in the file: the answer as typed becomes a statement at its place."""

from __future__ import annotations

import re
from collections.abc import Mapping

from ringout.case.case import Case
from ringout.case.statement import NOT_KNOWN as UNKNOWN_WORDS
from ringout.case.statement import ORIGINS
from ringout.interview import save
from ringout.interview.questions import FRAME_WORDS, NONE_OF_THESE, Question
from ringout.interview.script import ANSWER, ANY, NOT_KNOWN, Step, named
from ringout.interview.symptoms import OTHER, nearest, symptoms
from ringout.text.problem import shown

DONT_KNOW = UNKNOWN_WORDS | {
    "i don't know", "i dont know", "dunno", "no idea", "not sure", "not seen", "not looked", "never looked",
}  # fmt: skip
YES, NO = ("yes", "y"), ("no", "n", "nope", "none", "nothing")

_BARE_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_ORIGIN = re.compile(rf"\s*(\((?:{'|'.join(ORIGINS)})\b[^()]*\))$")


class NotTaken(Exception):
    """An answer that cannot be taken: what was expected, what was found."""

    def __init__(self, expected: str, found: str) -> None:
        self.expected, self.found = expected, found
        super().__init__(f"expected {expected}, found {found}")


def plain(said: str) -> str:
    """An answer for comparing with words: small, one kind of apostrophe, without a full stop."""
    return said.casefold().replace("’", "'").rstrip(".!")


def taken(case: Case, question: Question, said: str, at: str) -> str:
    """The text of the case with the answer to a question that is not about danger.

    Raises NotTaken, or ValueError where the file is written in a way that forbids the change.
    """
    step, unknown = question.step, plain(said) in DONT_KNOW
    if question.takes == "symptom":
        picked = picked_symptom(case, question, said)
        if picked:
            return save.put(case.document.text, tuple(question.path.split(".")), picked)
        return save.say(case, question.path, save.UNKNOWN, question.ask, at)
    if step and step.finds:
        return _found(case, step, said)
    if unknown and step and step.not_known:
        return save.put(case.document.text, (question.path,), step.not_known)
    if unknown:
        return save.say(case, question.path, save.UNKNOWN, question.ask, at)
    if question.takes == "complaint":
        return _complaint(case.document.text, said)
    bare, origin = _parted(_resolved(step, said))
    if question.path in FRAME_WORDS:
        return save.put(case.document.text, (question.path,), _one_of(bare, question.words))
    return save.say(case, question.path, f"{bare} {origin}", question.ask, at)


def picked_symptom(case: Case, question: Question, said: str) -> str:
    """The symptom picked by its number or its words, "" for none of those offered. Raises NotTaken."""
    offered = nearest(case.complaints[question.path.split(".")[1]].says)
    word, last = plain(said), len(offered) + 1
    if word in DONT_KNOW or word in NO or word in (NONE_OF_THESE, str(last)):
        return ""
    picks = {str(number): each for number, each in enumerate(offered, 1)}
    picks |= {its.says.casefold(): each for each, its in symptoms().items()}
    if word not in picks:
        raise NotTaken(f"a number from 1 to {last}", shown(said))
    return picks[word]


def _complaint(text: str, said: str) -> str:
    nothing = plain(said) in NO
    text = save.put(text, ("complaints", "main", "says"), "nothing, a check is wanted" if nothing else said)
    return save.put(text, ("complaints", "main", "symptom"), "check_wanted" if nothing else OTHER)


def _found(case: Case, step: Step, said: str) -> str:
    """The text with the part that was found, or with how far it was looked for."""
    bare, origin = _parted(_resolved(step, said))
    key = NOT_KNOWN if plain(said) in DONT_KNOW else plain(bare) if plain(bare) in step.answers else ANY
    if key not in step.answers:
        raise NotTaken(f"one of: {step.shows}", shown(said))
    return _put_all(case, step.answers[key], bare, origin)


def _put_all(case: Case, puts: Mapping[str, str], bare: str, origin: str) -> str:
    text = case.document.text
    for path, value in puts.items():
        loc = tuple(named(path, case).split("."))
        text = save.put(text, loc, value.replace(ANSWER, bare).replace(save.SAID, origin))
    return text


def _resolved(step: Step | None, said: str) -> str:
    """Other ways to say an answer resolved, and the unit of the question put behind a bare number."""
    if step is None:
        return said
    bare, origin = _parted(said)
    if plain(bare) in step.also:
        bare = step.also[plain(bare)]
    elif step.unit and _BARE_NUMBER.fullmatch(bare):
        bare = f"{bare} {step.unit}"
    return f"{bare} {origin}"


def _parted(said: str) -> tuple[str, str]:
    """An answer and where it comes from: the owner's word, unless "(seen)", "(label)" or the like follows."""
    origin = _ORIGIN.search(said)
    return (said[: origin.start()], origin[1]) if origin else (said, save.SAID)


def _one_of(said: str, words: tuple[str, ...]) -> str:
    """The word of a list as the file spells it. Raises NotTaken."""
    spelt = {plain(word).replace("_", " "): word for word in words}
    if plain(said).replace("_", " ") not in spelt:
        raise NotTaken("one of: " + ", ".join(words), shown(said))
    return spelt[plain(said).replace("_", " ")]
