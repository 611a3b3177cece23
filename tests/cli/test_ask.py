"""`ringout ask`: the interview as a command; the questions themselves are tested beside the interview."""

from collections.abc import Callable
from io import StringIO
from pathlib import Path
from typing import Any

import pytest

from ringout.case.load import load

Ringout = Callable[..., Any]


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """The owner's answers, one a line; after the last the owner has gone."""

    def given(*words: str) -> None:
        monkeypatch.setattr("sys.stdin", StringIO("".join(f"{word}\n" for word in words)))

    return given


def test_a_new_case_is_begun_and_usable_after_one_answer(
    ringout: Ringout, answers: Callable[..., None], tmp_path: Path
) -> None:
    file = tmp_path / "marsh-hut.yaml"
    answers("flat by morning when away", "1", "stop")
    ran = ringout("ask", str(file))
    assert (ran.status, ran.err) == (0, "")
    [complaint] = load(file).complaints.values()
    assert complaint.symptom == "flat_by_morning"


def test_a_danger_ends_it_with_status_one(
    ringout: Ringout, answers: Callable[..., None], tmp_path: Path
) -> None:
    file = tmp_path / "marsh-hut.yaml"
    answers("there is a smell of burning", "yes", "yes")
    ran = ringout("ask", str(file))
    assert ran.status == 1
    assert "Traceback" not in ran.out + ran.err


def test_a_faulty_case_is_one_clear_line(
    ringout: Ringout, answers: Callable[..., None], tmp_path: Path
) -> None:
    file = tmp_path / "faulty.yaml"
    file.write_text("case: a\nprats: {}\n", encoding="utf-8")
    answers()
    ran = ringout("ask", str(file))
    assert ran.status == 2
    assert ran.err.startswith(f"{file}:2:1: ") and ran.err.count("\n") == 1
    assert file.read_text(encoding="utf-8") == "case: a\nprats: {}\n", "a faulty file is left as it was"


def test_a_folder_that_is_not_there_is_one_clear_line(
    ringout: Ringout, answers: Callable[..., None], tmp_path: Path
) -> None:
    answers()
    ran = ringout("ask", str(tmp_path / "nowhere" / "hut.yaml"))
    assert ran.status == 2
    assert ran.err == f"{tmp_path}/nowhere/hut.yaml: cannot be read or written: No such file or directory\n"
