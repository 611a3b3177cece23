"""Each complaint with every cause that could make it: supported, open or ruled out, and by what."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ringout.case.case import Case
from ringout.inference.chain import ORDER, Chained, Said, Verdict
from ringout.review.words import part_name

Standing = Literal["supported", "open", "ruled out"]
STANDING: dict[Verdict, Standing] = {
    Verdict.WRONG: "supported",
    Verdict.NOT_KNOWN: "open",
    Verdict.RIGHT: "ruled out",
}


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that could make a complaint."""

    title: str
    about: str
    standing: Standing
    said: Said


@dataclass(frozen=True, slots=True)
class Explained:
    """A complaint and its causes, supported ones first."""

    name: str
    says: str
    symptom: str
    causes: tuple[Cause, ...]


def explained(case: Case, chained: Chained) -> list[Explained]:
    """Every complaint of the case."""
    found = []
    for name, complaint in case.complaints.items():
        causes = [
            Cause(
                said.rule.title,
                part_name(case, next(iter(said.anchor.keys.values()))),
                STANDING[said.verdict],
                said,
            )
            for said in chained.said
            if said.rule.finding is not None
            and complaint.symptom in said.rule.finding.explains
            and said.verdict in STANDING
        ]
        causes.sort(key=lambda cause: (ORDER.index(cause.said.verdict), cause.said.rule.name, cause.about))
        found.append(Explained(name, complaint.says, complaint.symptom, tuple(causes)))
    return found
