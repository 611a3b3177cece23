"""`ringout review`: the page or the JSON, and an exit status that a script can rely on."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ringout.inference import durable
from ringout.review.review import Review

Ringout = Callable[..., Any]
Reviewed = Callable[[str], Review]


@pytest.mark.parametrize(
    ("case", "status"),
    [("reed-loop", 1), ("heron", 1), ("reed-cured", 0), ("reed-unknown", 0), ("ten-facts", 0)],
)
def test_the_status_is_one_where_something_is_found(ringout: Ringout, case: str, status: int) -> None:
    ran = ringout("review", f"cases/{case}.yaml", "--engine", "plain")
    assert ran.status == status
    assert ran.err == ""
    assert ran.out.startswith(f"Review of {case}.yaml: plain engine, ")


@pytest.mark.parametrize("case", ["reed-loop", "heron"])
@pytest.mark.parametrize("least", range(1, 6))
def test_the_status_counts_only_findings_of_the_asked_class(
    ringout: Ringout, reviewed: Reviewed, case: str, least: int
) -> None:
    ran = ringout("review", f"cases/{case}.yaml", "--engine", "plain", "--least", str(least))
    assert ran.status == int(any(each.cls <= least for each in reviewed(case).found))


def test_the_loop_alone_is_no_danger(ringout: Ringout) -> None:
    statuses = [ringout("review", "cases/reed-loop.yaml", "--least", least).status for least in "12345"]
    assert statuses == [0, 0, 0, 1, 1]


def test_json_is_one_object_and_names_the_engine(ringout: Ringout) -> None:
    ran = ringout("review", "cases/reed-loop.yaml", "--engine", "plain", "--format", "json")
    assert ran.status == 1
    made = json.loads(ran.out)
    assert (made["engine"], made["case"]["file"]) == ("plain", "cases/reed-loop.yaml")


def test_without_an_engine_named_the_best_to_be_had_runs(ringout: Ringout) -> None:
    engine = "durable" if durable.available() else "plain"
    assert f": {engine} engine, " in ringout("review", "cases/reed-loop.yaml").out.splitlines()[0]


def test_an_engine_that_cannot_be_had_is_one_clear_line(
    ringout: Ringout, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(durable, "available", lambda: False)
    for command in ("review", "why"):
        ran = ringout(command, "cases/reed-loop.yaml", "--engine", "durable")
        assert (ran.status, ran.out) == (2, "")
        assert ran.err == "the durable engine is not installed here; use --engine plain\n"


def test_an_unknown_case_is_not_taken_for_a_clear_one(ringout: Ringout, tmp_path: Path) -> None:
    """No finding and no knowledge end with 0, but the page says that nothing was looked at."""
    file = tmp_path / "new.yaml"
    file.write_text("case: nothing is known yet\n", encoding="utf-8")
    ran = ringout("review", str(file))
    assert ran.status == 0
    assert "NOT LOOKED FOR: " in ran.out and "RIGHT" not in ran.out


def test_json_names_the_remedies_of_a_finding(ringout: Ringout) -> None:
    ran = ringout("review", "cases/reed-loop.yaml", "--format", "json", "--engine", "plain")
    found = {each["rule"]: each["remedies"] for each in json.loads(ran.out)["findings"]}
    assert found["charger-fed-by-its-own-battery"] == ["charger-ahead-of-the-changeover"]
