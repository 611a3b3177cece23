"""The JSON of a review as pydantic models; its schema is published in `cases/review.schema.json`."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

Word = Literal["found", "clear", "cannot-tell", "not-applicable"]


class Out(BaseModel):
    """Base of all output models."""

    model_config = ConfigDict(extra="forbid")


class CaseOut(Out):
    """Which case was reviewed."""

    file: str
    title: str
    kind: str
    region: str
    invented: bool


class RiskOut(Out):
    """Severity and probability of MIL-STD-882E and the level they make."""

    severity: int
    probability: str
    level: str


class InputOut(Out):
    """One input of a number."""

    path: str
    value: str
    origin: str
    spot: str
    source: str


class NumberOut(Out):
    """A number with what it is made of. `low` and `high` are in the inside unit of `dimension`."""

    name: str
    value: str
    dimension: str
    low: float | None
    high: float | None
    formula: str
    source: str
    inputs: list[InputOut]
    more: int = Field(description="further inputs that move it less")


class LineOut(Out):
    """One comparison and how it came out."""

    part: str
    says: str
    truth: Literal["yes", "no", "not known"]


class ProofOut(Out):
    """The facts that stood together, the comparisons, and the proofs of conclusions beneath."""

    rule: str
    verdict: str
    facts: list[str]
    lines: list[LineOut]
    beneath: list[ProofOut]


class HoldOut(Out):
    """How far a value that nobody found here may move before the verdict changes, in the inside unit."""

    path: str
    origin: str
    now: str
    dimension: str
    below: float | None = Field(description="the verdict changes below this; null: not within the bounds")
    above: float | None = Field(description="the verdict changes above this; null: not within the bounds")


class DecidesOut(Out):
    """The one fact that decides most of an open verdict."""

    path: str
    share: float = Field(description="part of its answers that settle the verdict, 0 to 1; no probability")
    moves: float = Field(description="part of the open range of the number compared that it moves, 0 to 1")


class FindingOut(Out):
    """One thing wrong."""

    rule: str
    subject: str
    title: str
    area: str
    cls: int = Field(alias="class")
    risk: RiskOut
    seen: str
    act: str
    because: str
    numbers: list[NumberOut]
    explains: list[str]
    evidence: list[str]
    remedies: list[str] = Field(description="names of remedies that claim to cure it")
    confirm: str
    prove: str
    who: str
    deferral: str
    sources: list[str]
    assumed: list[str] = Field(description="paths of assumed or supposed values it rests on")
    only_said: list[str] = Field(description="paths of what was only said by somebody who cannot know it")
    doubted: list[str] = Field(description="paths of what a reading speaks of that is in doubt until repeated")
    holds: list[HoldOut] = Field(description="assumed, supposed and tabled values, and how far they may move")
    consequences: list[str]
    proof: ProofOut


class CauseOut(Out):
    """A cause that could make a complaint."""

    rule: str
    subject: str
    title: str
    standing: Literal["supported", "open", "ruled out"]


class ComplaintOut(Out):
    """A complaint and all its causes."""

    name: str
    says: str
    symptom: str
    causes: list[CauseOut]


class VerdictOut(Out):
    """The one verdict of a rule on a subject."""

    rule: str
    subject: str
    verdict: Word
    needs: list[str] = Field(description="facts that would settle it, by path")
    only_said: list[str] = Field(description="those that were only said; a licensed person's test or report counts")
    decides: DecidesOut | None = Field(description="the fact that decides most of it, where it is open")
    reading: str = Field(description="the reading that settles it where no answer can")


class QuestionOut(Out):
    """What to find out next."""

    path: str
    ask: str
    answers: list[str]
    dimension: str
    minutes: int
    access: str
    settles: list[str]


class UnusedOut(Out):
    """A reading that nothing was made of."""

    reading: str
    why: str


class ReviewOut(Out):
    """One review."""

    version: Literal[1] = 1
    case: CaseOut
    engine: str
    ringout: str
    rulebase: str
    findings: list[FindingOut]
    complaints: list[ComplaintOut]
    verdicts: list[VerdictOut]
    questions: list[QuestionOut]
    not_inspected: list[str]
    readings_not_used: list[UnusedOut]
    counts: dict[Word, int]
