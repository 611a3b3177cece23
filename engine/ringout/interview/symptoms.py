"""Complaints in the owner's words, and the symptoms they may mean (`rules/questions/symptoms.yaml`)."""

from __future__ import annotations

import re

from pydantic import RootModel

from ringout.case.form import sheet
from ringout.kept import remembered
from ringout.shipped import rules_root
from ringout.text.checked import Strict, YesNo, problem, validate
from ringout.text.document import Document, read
from ringout.text.problem import Problem, Unusable, did_you_mean, shown

MOST_OFFERED = 6
OTHER = "other"


class Symptom(Strict):
    """A symptom in plain words, the words it is known by, and whether it is offered when none is found."""

    says: str
    words: list[str]
    common: YesNo = False


class _File(RootModel[dict[str, Symptom]]):
    pass


@remembered
def symptoms() -> dict[str, Symptom]:
    """All symptoms by name. Raises Unusable for a faulty file."""
    return read_symptoms(read(rules_root() / "questions" / "symptoms.yaml"))


def read_symptoms(document: Document) -> dict[str, Symptom]:
    """The symptoms a document states. Raises Unusable where one is missing or no case may hold it."""
    found = validate(document, _File).root
    known = sheet("complaint").fields["symptom"].options
    problems = [
        Problem(document.key_spot((name,)), "", "a known symptom", shown(name), did_you_mean(name, known))
        for name in found
        if name not in known
    ]
    missing = [name for name in known if name not in found and name != OTHER]
    problems += [problem(document, (), f"the symptom {name}", None) for name in missing]
    if problems:
        raise Unusable(problems)
    return found


def nearest(text: str) -> tuple[str, ...]:
    """The symptoms nearest to a complaint, best first; the common ones where no word is recognised.

    A word counts the more, the fewer symptoms share it.
    """
    said = set(re.findall(r"\w+", text.casefold()))
    scores = {
        name: sum(_weights()[word] for word in its.words if _is_said(word, said))
        for name, its in symptoms().items()
    }
    best = sorted((name for name in scores if scores[name] > 0), key=lambda name: -scores[name])
    return tuple(best[:MOST_OFFERED]) or tuple(name for name, its in symptoms().items() if its.common)


@remembered
def _weights() -> dict[str, float]:
    words = [word for its in symptoms().values() for word in its.words]
    return {word: 1 / words.count(word) for word in words}


def _is_said(word: str, said: set[str]) -> bool:
    return any(each.startswith(word[:-1]) for each in said) if word.endswith("*") else word in said
