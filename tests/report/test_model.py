"""The JSON models: closed, and named as they are published."""

import pytest
from pydantic import ValidationError

from ringout.inference.chain import Verdict
from ringout.report.json import VERDICT
from ringout.report.model import FindingOut, ReviewOut, RiskOut

# Source: the shape of `review --format json` as the project promises it to other programs.
PROMISED = {
    "case", "engine", "rulebase", "findings", "complaints", "verdicts", "questions", "not_inspected",
    "counts",
}  # fmt: skip
PROMISED_OF_A_FINDING = {
    "rule", "subject", "title", "area", "class", "risk", "act", "because", "numbers", "explains", "evidence",
    "remedies", "confirm", "prove", "who", "deferral", "sources", "proof",
}  # fmt: skip


def published(model: type[ReviewOut] | type[FindingOut]) -> set[str]:
    return {field.alias or name for name, field in model.model_fields.items()}


def test_nothing_promised_is_missing() -> None:
    assert published(ReviewOut) >= PROMISED
    assert published(FindingOut) >= PROMISED_OF_A_FINDING


def test_an_unknown_name_is_refused() -> None:
    with pytest.raises(ValidationError):
        RiskOut.model_validate({"severity": 1, "probability": "A", "level": "high", "colour": "red"})


def test_every_verdict_has_its_published_word() -> None:
    assert VERDICT == {
        Verdict.WRONG: "found",
        Verdict.RIGHT: "clear",
        Verdict.NOT_KNOWN: "cannot-tell",
        Verdict.DOES_NOT_APPLY: "not-applicable",
    }
