"""The shape of a rule file as it is written, before any name in it is looked up."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field as Key

from ringout.rulebase.rule import PROBABILITIES, SEVERITIES, WHO
from ringout.text.checked import OneOf, Strict, Whole, Words, YesNo

AREAS = (
    "ac_dc_boundary", "charger_supply", "placement", "cable_uniformity",
    "charge_profile", "protection", "shock", "loads",
)  # fmt: skip
RISKS = tuple(f"{severity}{probability}" for severity in SEVERITIES for probability in PROBABILITIES)
VERDICTS = ("wrong", "right", "not_known", "does_not_apply")


class GradeLine(Strict):
    """Class, severity and probability, as written."""

    cls: Whole = Key(alias="class")
    severity: Whole
    probability: Annotated[str, OneOf(PROBABILITIES)]


class Graver(GradeLine):
    """A graver grade, and when it takes over."""

    when: Any


class FindingLine(GradeLine):
    """The words and the rank of a finding."""

    graver: list[Graver] = Key(default_factory=list)
    seen: str
    means: str
    do: str
    who: Annotated[str, OneOf(WHO)]
    mains: YesNo = False
    explains: Words = ()
    confirms: Words = ()
    confirm: str
    prove: str
    settle: str = ""
    open_title: str = ""
    wrong_when: str


class TermLine(Strict):
    """A partner fact, and what it is joined by."""

    fact: str
    where: dict[str, str] = Key(default_factory=dict)


class ConclusionLine(Strict):
    """The fact concluded, and where its keys come from."""

    fact: str
    keys: dict[str, str]


class ExampleLine(Strict):
    """Facts written out, and the verdict they must get; where it is graded, the class and risk (``2A``) too."""

    says: str = ""
    verdict: Annotated[str, OneOf(VERDICTS)]
    cls: Whole | None = Key(alias="class", default=None)
    risk: Annotated[str, OneOf(RISKS)] = ""
    facts: list[dict[str, dict[str, str]]]


class RuleFile(Strict):
    """The whole file."""

    rule: str
    title: str
    area: Annotated[str, OneOf(AREAS)]
    says: str
    looks_at: dict[str, str]
    with_: dict[str, TermLine] = Key(alias="with", default_factory=dict)
    given: Any = None
    when: Any = None
    unless: Any = None
    concludes: ConclusionLine | None = None
    finding: FindingLine | None = None
    sources: list[str]
    examples: list[ExampleLine]
