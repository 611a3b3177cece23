"""The review as JSON: everything, for other programs."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any

from ringout import __version__
from ringout.case.case import Case
from ringout.inference.chain import Said, Verdict
from ringout.kept import digest
from ringout.quantity.span import Span
from ringout.quantity.traced import Value, domain_of
from ringout.report.model import (
    CaseOut,
    CauseOut,
    ComplaintOut,
    DecidesOut,
    FindingOut,
    HoldOut,
    InputOut,
    LineOut,
    NumberOut,
    ProofOut,
    QuestionOut,
    ReviewOut,
    RiskOut,
    UnusedOut,
    VerdictOut,
    Word,
)
from ringout.report.wording import wording
from ringout.review.finding import Finding
from ringout.review.proof import Proof, number, proof
from ringout.review.review import Review
from ringout.review.sensitivity import UNSURE, deciding, holds
from ringout.review.suppose import Supposed
from ringout.review.words import fill, shown

VERDICT: dict[Verdict, Word] = {
    Verdict.WRONG: "found",
    Verdict.RIGHT: "clear",
    Verdict.NOT_KNOWN: "cannot-tell",
    Verdict.DOES_NOT_APPLY: "not-applicable",
}


Cures = Mapping[str, Sequence[str]]
"""Rule -> names of the remedies that claim to cure it."""


def as_json(review: Review, cures: Cures = MappingProxyType({})) -> str:
    """The review as indented JSON text."""
    return out(review, cures).model_dump_json(by_alias=True, indent=1)


def schema() -> str:
    """The JSON Schema of `as_json`."""
    made: dict[str, Any] = ReviewOut.model_json_schema(by_alias=True, mode="serialization")
    return json.dumps({"$schema": "https://json-schema.org/draft/2020-12/schema", **made}, indent=1) + "\n"


def out(review: Review, cures: Cures = MappingProxyType({})) -> ReviewOut:
    """The review as models."""
    case = review.case
    return ReviewOut(
        case=CaseOut(
            file=case.document.file,
            title=case.title,
            kind=case.frame.kind,
            region=case.frame.region,
            invented=case.frame.invented,
        ),
        engine=review.chained.engine,
        ringout=__version__,
        rulebase=digest(),
        findings=[
            _finding(case, each, cures.get(each.rule.name, ())) for top in review.found for each in _flat(top)
        ],
        complaints=[
            ComplaintOut(
                name=each.name,
                says=each.says,
                symptom=each.symptom,
                causes=[
                    CauseOut(
                        rule=cause.said.rule.name,
                        subject=cause.said.anchor.id,
                        title=cause.title,
                        standing=cause.standing,
                    )
                    for cause in each.causes
                ],
            )
            for each in review.complaints
        ],
        verdicts=[_verdict(review, said) for said in review.chained.said],
        questions=[
            QuestionOut(
                path=need.path,
                ask=need.ask,
                answers=list(need.words),
                dimension=need.dimension,
                minutes=need.minutes,
                access=need.access,
                settles=list(need.settles),
            )
            for need in review.needs
        ],
        not_inspected=list(review.not_inspected),
        readings_not_used=[UnusedOut(reading=name, why=why) for name, why in review.unused.items()],
        counts={VERDICT[Verdict(name)]: count for name, count in review.counts.items()},
    )


def _flat(finding: Finding) -> Iterator[Finding]:
    yield finding
    for each in finding.beneath:
        yield from _flat(each)


def _verdict(review: Review, said: Said) -> VerdictOut:
    waits = said.step.needs if said.step else ()
    needs = [leaf.path for leaf in waits]
    only_said = [leaf.path for leaf in waits if leaf.word is not None and leaf.doubt is None]
    reading = ""
    if said.verdict is Verdict.NOT_KNOWN and said.step and said.rule.finding:
        facts = {alias: known.fact for alias, known in said.step.binding.items()}
        reading = fill(said.rule.finding.confirm, facts, review.case)
    return VerdictOut(
        rule=said.rule.name,
        subject=said.anchor.id,
        verdict=VERDICT[said.verdict],
        needs=needs,
        only_said=only_said,
        decides=_decides(said),
        reading=reading,
    )


def _finding(case: Case, finding: Finding, cures: Sequence[str]) -> FindingOut:
    made = proof(finding.said, case)
    assert made is not None
    return FindingOut(
        rule=finding.rule.name,
        subject=finding.said.anchor.id,
        title=finding.title,
        area=finding.rule.area,
        **{"class": finding.cls},
        risk=RiskOut(
            severity=finding.grade.severity, probability=finding.grade.probability, level=finding.level
        ),
        seen=finding.seen,
        act=finding.do,
        because=finding.means,
        numbers=[_number(name, value) for name, value in finding.numbers],
        explains=list(finding.explains),
        evidence=[str(spot) for spot in finding.evidence],
        remedies=list(cures),
        confirm=finding.confirm,
        prove=finding.prove,
        who=finding.text.who,
        deferral=wording().mains_deferral if finding.text.mains else wording().deferral,
        sources=list(finding.rule.sources),
        assumed=[leaf.path for leaf in finding.assumed],
        only_said=[leaf.path for leaf in finding.only_said],
        doubted=[leaf.path for leaf in finding.doubted],
        holds=_holds(case, finding.said),
        consequences=[f"{each.rule.name} {each.said.anchor.id}" for each in finding.beneath],
        proof=_proof(made),
    )


def _decides(said: Said) -> DecidesOut | None:
    most = deciding(Supposed(said))
    return None if most is None else DecidesOut(path=most.leaf.path, share=most.share, moves=most.moves)


def _holds(case: Case, said: Said) -> list[HoldOut]:
    return [
        HoldOut(
            path=each.leaf.path,
            origin=each.leaf.origin,
            now=shown(each.leaf.suggests or each.now, each.leaf.dimension),
            dimension=each.leaf.dimension,
            below=each.below,
            above=each.above,
        )
        for each in holds(case, Supposed(said), UNSURE)
    ]


def _number(name: str, value: Value) -> NumberOut:
    made, domain = number(value), domain_of(value)
    ends = (domain.lo, domain.hi) if isinstance(domain, Span) else (None, None)
    return NumberOut(
        name=name,
        value=made.value,
        dimension=value.dimension,
        low=ends[0],
        high=ends[1],
        formula=made.formula,
        source=made.source,
        inputs=[
            InputOut(path=x.path, value=x.value, origin=x.origin, spot=x.spot, source=x.source)
            for x in made.inputs
        ],
        more=made.more,
    )


def _proof(made: Proof) -> ProofOut:
    return ProofOut(
        rule=made.rule,
        verdict=made.verdict,
        facts=list(made.facts),
        lines=[LineOut(part=x.part, says=x.says, truth=x.truth) for x in made.lines],
        beneath=[_proof(each) for each in made.beneath],
    )
