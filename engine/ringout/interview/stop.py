"""The stop drill: danger recognised in what somebody says, what to do first, whom to call, when to go on.

A sign is ruled out only where a denial stands before it with nothing but filler words between. Whatever this
cannot follow counts as a sign and is asked about: one question too many does no harm.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from pydantic import Field

from ringout.kept import remembered
from ringout.shipped import rules_root
from ringout.text.checked import Strict, Whole, Words, validate
from ringout.text.document import read

TIME = "%Y-%m-%d %H:%M"
STOPPED, GOES_ON = "stopped:", "goes on:"

_CLAUSE = re.compile(
    r"[.,;:!?()\n]|\b(?:and|but|though|although|because|since|as|when|while|after|until|so|then|with|only|just)\b"
)
_NOTE = re.compile(rf"(\d{{4}}-\d\d-\d\d \d\d:\d\d) ({STOPPED}|{GOES_ON}) (\w+)(?:, said: (.*))?")


class Sign(Strict):
    """One sign of danger as `rules/questions/stop.yaml` describes it."""

    says: str
    words: Words = ()
    near: Words = ()
    with_: Words = Field((), alias="with")
    symptoms: Words = ()
    complaint: str
    safe: Words
    help: str
    wait: Whole
    until: str


class _File(Strict):
    signs: dict[str, Sign]
    numbers: dict[str, str]
    afloat: str
    harmless: Words
    denials: Words
    fillers: Words


@dataclass(frozen=True, slots=True)
class Danger:
    """A sign and the words in which it was given."""

    sign: str
    says: str


@dataclass(frozen=True, slots=True)
class Stop:
    """A danger that ended the interview, and when it was noted (date and time, to the minute)."""

    danger: Danger
    at: str

    @property
    def not_before(self) -> str:
        """The earliest time to go near again."""
        wait = timedelta(minutes=drills().signs[self.danger.sign].wait)
        try:
            return (datetime.strptime(self.at, TIME) + wait).strftime(TIME)
        except ValueError:  # a time in the notes that somebody mistyped
            return self.at

    @property
    def until(self) -> str:
        """What must have happened before the questions go on."""
        return drills().signs[self.danger.sign].until


@remembered
def drills() -> _File:
    """The signs and drills. Raises Unusable for a faulty file."""
    return validate(read(rules_root() / "questions" / "stop.yaml"), _File)


def signs_in(text: str) -> tuple[str, ...]:
    """The signs that a text speaks of without denying them, gravest first."""
    plain = _plain(text)
    return tuple(sign for sign, its in drills().signs.items() if _speaks_of(plain, its))


def sign_of(symptom: str) -> str | None:
    """The sign that a complaint of that symptom is, or None."""
    return next((sign for sign, its in drills().signs.items() if symptom in its.symptoms), None)


def drill(stop: Stop, region: str) -> list[str]:
    """What is said when the interview ends: do first, call, when to go on. `region` as in a case, or ""."""
    known, its = drills(), drills().signs[stop.danger.sign]
    call = known.numbers.get(region, known.numbers["other"])
    wait = [f"Nobody goes near it before {stop.not_before}."] if its.wait else []
    return [
        f"STOP: {its.says}.",
        "Do this first, in this order:",
        *(f"{number}. {line}" for number, line in enumerate(its.safe, 1)),
        f"Emergency number: {call}; {known.afloat}.",
        f"Then fetch: {its.help}.",
        f"Noted at {stop.at}. The questions go on only once {its.until}.",
        *wait,
    ]


def note_of(stop: Stop) -> str:
    """The line of the case file that keeps a stop standing."""
    return f"{stop.at} {STOPPED} {stop.danger.sign}, said: {stop.danger.says}"


def note_of_going_on(sign: str, at: str) -> str:
    """The line of the case file that lifts a stop."""
    return f"{at} {GOES_ON} {sign}, said to be made safe"


def standing(notes: Iterable[object]) -> Stop | None:
    """The stop that the notes of a case leave standing: the last one that no later line lifts."""
    found = None
    for note in notes:
        match = _NOTE.match(str(note))
        if match and match[3] in drills().signs:
            found = Stop(Danger(match[3], match[4] or ""), match[1]) if match[2] == STOPPED else None
    return found


def _plain(text: str) -> str:
    """A text small, without apostrophes and without what is harmless."""
    plain = re.sub(r"['’]", "", text.casefold()).replace("_", " ").replace("-", " ")
    for phrase in drills().harmless:
        plain = re.sub(rf"\b{re.escape(phrase)}\b", " ~ ", plain)
    return plain


def _speaks_of(text: str, sign: Sign) -> bool:
    # The thing may be named anywhere ("The plug. It gets hot."); a denial counts only in its own clause.
    joined = any(_is_one_of(word, sign.with_) for word in re.findall(r"\w+", text))
    wanted = [*sign.words, *(sign.near if joined else ())]
    for clause in _CLAUSE.split(text):
        words = re.findall(r"~|\w+", clause)
        if any(_is_one_of(word, wanted) and not _denied(words, place) for place, word in enumerate(words)):
            return True
    return False


def _denied(clause: list[str], place: int) -> bool:
    """Whether a denial stands before the word, with nothing but fillers and other signs between."""
    known = drills()
    signs = [word for sign in known.signs.values() for word in (*sign.words, *sign.near)]
    for word in reversed(clause[:place]):
        if word in known.denials:
            return True
        if word not in known.fillers and not _is_one_of(word, signs):
            return False
    return False


def _is_one_of(word: str, patterns: Iterable[str]) -> bool:
    return any(word.startswith(each[:-1]) if each.endswith("*") else word == each for each in patterns)
