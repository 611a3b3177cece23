"""The opening questions of a case (`rules/questions/intake.yaml`), and which of them a case still needs."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field as Key
from pydantic import RootModel

from ringout.case.case import Case, Part
from ringout.case.form import part_kinds
from ringout.interview.save import asked, stated
from ringout.kept import remembered
from ringout.shipped import rules_root
from ringout.text.checked import OneOf, Strict, Words, YesNo, problem, validate
from ringout.text.document import Document, read
from ringout.text.problem import Problem, Unusable, did_you_mean

LONGEST = 79
TAKES = ("value", "complaint", "symptom", "danger")
FIRST_SCREEN = 10
NOT_KNOWN, ANY, ANSWER = "not known", "other", "ANSWER"
"""In `answers`: "don't know", whatever is not listed, and the words of the answer inside a value."""

_NAME = re.compile(r"\{(\w+)\}")


class _Line(Strict):
    ask: str
    why: str
    first: YesNo = False
    finds: Words = ()
    about: str = ""
    takes: Annotated[str, OneOf(TAKES)] = "value"
    needs: list[Words] = Key(default_factory=list)
    shows: str = ""
    unit: str = ""
    also: dict[str, str] = Key(default_factory=dict)
    answers: dict[str, dict[str, str]] = Key(default_factory=dict)
    not_known: str = ""


class _File(RootModel[dict[str, _Line]]):
    pass


@dataclass(frozen=True, slots=True)
class Step:
    """One opening question. `answers` tells what each answer puts where; else the answer goes to `about`."""

    id: str
    ask: str
    why: str
    first: bool
    finds: tuple[str, ...]
    about: str
    takes: str
    needs: Sequence[tuple[str, ...]]
    shows: str
    unit: str
    also: Mapping[str, str]
    answers: Mapping[str, Mapping[str, str]]
    not_known: str

    def open(self, case: Case) -> bool:
        """Whether the case has what the question is about, and nobody was asked yet."""
        if any(not _parts(case, kinds) for kinds in self.needs):
            return False
        if self.finds:
            looked = any(kind in case.frame.looked_for for kind in self.finds)
            return not looked and not _parts(case, self.finds)
        path = self.path(case)
        return stated(case, path) is None and not asked(case, path)

    def path(self, case: Case) -> str:
        """The place the answer goes to, with the name that the part has in this case."""
        return named(self.about, case)


def named(text: str, case: Case) -> str:
    """A text with `{kind}` replaced by the name of the part of that kind, or by a name still free for one.

    An inverter with a charger inside answers to `inverter`, and a bank to `battery`.
    """
    return _NAME.sub(lambda match: _name(case, match[1]), text)


def _name(case: Case, kind: str) -> str:
    parts = _parts(case, (kind, *_STAND_IN.get(kind, ())))
    if parts:
        return parts[0].name
    return next(name for name in (kind, *(f"{kind}{n}" for n in range(2, 1000))) if name not in case.parts)


_STAND_IN = {"battery": ("bank",), "inverter": ("inverter_charger",), "mains_charger": ("inverter_charger",)}


def _parts(case: Case, kinds: tuple[str, ...]) -> list[Part]:
    return [part for part in case.parts.values() if part.kind in kinds]


@remembered
def script() -> tuple[Step, ...]:
    """The opening questions in order. Raises Unusable with every mistake of the file."""
    return read_script(read(rules_root() / "questions" / "intake.yaml"))


def read_script(document: Document) -> tuple[Step, ...]:
    """The opening questions a document states. Raises Unusable with every mistake."""
    lines = validate(document, _File).root
    problems: list[Problem] = []
    for id, line in lines.items():
        problems += _mistakes(document, id, line)
    first = [id for id, line in lines.items() if line.first]
    if len(first) > FIRST_SCREEN:
        expected = f"at most {FIRST_SCREEN} questions before the first screen"
        problems.append(problem(document, (first[FIRST_SCREEN],), expected, f"{len(first)}"))
    if problems:
        raise Unusable(problems)
    fields = tuple(_Line.model_fields)
    return tuple(Step(id=id, **{name: getattr(line, name) for name in fields}) for id, line in lines.items())


def _mistakes(document: Document, id: str, line: _Line) -> list[Problem]:
    found = []
    if len(line.ask) > LONGEST:
        found.append(problem(document, (id, "ask"), f"at most {LONGEST} characters", line.ask))
    finds = bool(line.finds and line.answers), bool(line.about)
    if line.takes != "danger" and finds not in ((True, False), (False, True)):
        found.append(problem(document, (id,), "either 'about', or 'finds' and 'answers'", None))
    for loc, kinds in [((id, "finds"), line.finds), *(((id, "needs"), each) for each in line.needs)]:
        for kind in kinds:
            if kind not in part_kinds():
                found.append(problem(document, loc, "a kind of part", kind, did_you_mean(kind, part_kinds())))
    if line.answers and NOT_KNOWN not in line.answers:
        found.append(problem(document, (id, "answers"), f"an answer '{NOT_KNOWN}'", None))
    return found
