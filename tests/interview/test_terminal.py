"""The interview at a terminal: a whole file after every answer, an end at any time, the drill first."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import pytest

from ringout.case.case import Case
from ringout.case.load import load
from ringout.interview.look import Look
from ringout.interview.machine import State
from ringout.interview.terminal import WIDTH, interview
from ringout.text.problem import Unusable

NOW = datetime(2026, 5, 3, 10, 5)
TEN_FACTS = (
    "flat by morning when away", "1", "no", "NZ", "two", "lithium", "2 kW", "plugged in", "not seen",
    "don't know",
)  # fmt: skip
THE_REST = ("motorhome", "don't know", "yes", "at the other end", "yes", "none", "no", "later")

S6 = """\
# yaml-language-server: $schema=case.schema.json
case: marsh motorhome
kind: motorhome
region: NZ
complaints:
  main:
    says: flat by morning when away
    symptom: flat_by_morning
habits:
  danger_signs: none (said)
mains:
  rcd: unknown (said)
  earth: not_proven (said)
looked_for:
  generator: none seen (said)
parts:
  battery:
    kind: battery
    count: 2 (said)
    chemistry: LFP | lithium_other (said)
    main_fuse: unknown (said)
  inverter:
    kind: inverter
    rating: 2 kW (said)
  mains_charger:
    kind: mains_charger
    connected: plugged_in (said)
    live_on_inverter: unknown (said)
  solar_panel:
    kind: solar_panel
  solar_controller:
    kind: solar_controller
    place: at the other end
  inlet:
    kind: inlet
notes:
  - "2026-05-03 10:05 danger signs: said to be none"
"""


def no_look(case: Case) -> Look:
    return Look()


class Sitting:
    """One sitting with answers given beforehand; the keyboard ends with them."""

    def __init__(self, path: Path, *answers: str, at_end: type[BaseException] = EOFError) -> None:
        self.path, self.answers, self.at_end = path, list(answers), at_end
        self.lines: list[str] = []

    def run(self, look: Callable[[Case], Look] = no_look, minutes: int | None = None) -> State:
        return interview(self.path, look, minutes=minutes, ask=self.ask, say=self.say, now=lambda: NOW)

    def ask(self, prompt: str) -> str:
        load(self.path)  # whole and loadable whenever somebody is asked
        if not self.answers:
            raise self.at_end
        return self.answers.pop(0)

    def say(self, line: str) -> None:
        self.lines += line.split("\n")

    @property
    def told(self) -> str:
        return "\n".join(self.lines)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "marsh-motorhome.yaml"


def test_ten_facts_lead_to_a_case_that_reads_well(path: Path) -> None:
    Sitting(path, *TEN_FACTS, *THE_REST).run()
    assert path.read_text() == S6


def test_through_a_real_keyboard_it_is_the_same(path: Path) -> None:
    code = (
        "import sys; from datetime import datetime; from pathlib import Path\n"
        "from ringout.interview.look import Look; from ringout.interview.terminal import interview\n"
        "interview(Path(sys.argv[1]), lambda case: Look(), now=lambda: datetime(2026, 5, 3, 10, 5))\n"
    )
    typed = "\n".join([*TEN_FACTS, *THE_REST]) + "\n"
    command = [sys.executable, "-W", "error", "-c", code, str(path)]
    run = subprocess.run(command, input=typed, capture_output=True, text=True, timeout=60, check=True)
    assert path.read_text() == S6
    assert run.stderr == ""
    assert "Question 1 of about 7" in run.stdout


def test_a_sitting_may_end_after_any_answer_and_the_next_goes_on_there(path: Path) -> None:
    for said in TEN_FACTS:
        # Danger signs are asked for in each sitting anew, once the complaint is told and filed.
        signs = [] if said in TEN_FACTS[:3] else ["no"]
        Sitting(path, *signs, said, "stop").run()
    made = load(path)
    assert set(made.parts) == {"battery", "inverter", "mains_charger"}
    assert made.mains.leaf("rcd").asked


@pytest.mark.parametrize("end", [EOFError, KeyboardInterrupt])
def test_the_keyboard_may_end_too(path: Path, end: type[BaseException]) -> None:
    sitting = Sitting(path, "dim lights", at_end=end)
    sitting.run()
    assert "dim lights" in path.read_text()
    assert "The same command goes on from here." in " ".join(sitting.told.split())


@pytest.mark.parametrize("word", ["stop", "Quit", "exit.", " end "])
def test_words_that_end_it(path: Path, word: str) -> None:
    sitting = Sitting(path, word, "never asked")
    sitting.run()
    assert sitting.answers == ["never asked"]


def test_it_says_where_one_is_and_why_and_what_may_be_answered(path: Path) -> None:
    sitting = Sitting(path, *TEN_FACTS, *THE_REST)
    sitting.run()
    assert "Question 1 of about 7" in sitting.lines
    assert "Question 10 of about 10" in sitting.lines
    assert "Question 11 of about 16" in sitting.lines
    assert "1. battery flat by morning" in sitting.lines
    assert "Answer: AU, NZ, UK, EU, US, CA, other" in sitting.lines
    assert "Always allowed: don't know, later, stop." in sitting.told
    assert max(map(len, sitting.lines)) <= WIDTH
    assert sitting.told.isascii()


def test_the_first_screen_comes_after_ten_questions_and_once(path: Path) -> None:
    sitting = Sitting(path, *TEN_FACTS, *THE_REST)
    sitting.run(lambda case: Look(screen="THE SCREEN"))
    assert sitting.lines.count("THE SCREEN") == 1
    assert "Question 10 of about 10" in sitting.lines[: sitting.lines.index("THE SCREEN")]
    assert "Question 11 of about 16" in sitting.lines[sitting.lines.index("THE SCREEN") :]


def test_who_stops_early_sees_the_screen_too(path: Path) -> None:
    sitting = Sitting(path, "dim lights", "stop")
    sitting.run(lambda case: Look(screen="THE SCREEN"))
    assert "THE SCREEN" in sitting.lines


def test_what_an_answer_settles_is_told(path: Path) -> None:
    def look(case: Case) -> Look:
        rcd = case.mains.leaf("rcd")
        told = rcd.known or rcd.word is not None
        return Look(faults={"No RCD": rcd.text.startswith("no ") if told else None})

    for said, told in (("yes (seen)", "Settled: not so: No RCD."), ("no", "Settled: wrong: No RCD.")):
        path.unlink(missing_ok=True)
        sitting = Sitting(path, *TEN_FACTS[:-1], said, "stop")
        sitting.run(look)
        assert told in sitting.lines


def test_an_answer_that_cannot_be_taken_is_asked_again(path: Path) -> None:
    sitting = Sitting(path, "dim lights", "77", "1", "stop")
    sitting.run()
    assert "Not taken: expected a number from 1 to" in sitting.told
    assert load(path).complaints["main"].symptom == "lights_dim"


def test_minutes_end_it(path: Path) -> None:
    sitting = Sitting(path, *TEN_FACTS)
    sitting.run(minutes=2)
    assert sitting.answers == list(TEN_FACTS[3:])


def test_danger_ends_it_with_the_drill_and_the_number_of_the_region(path: Path) -> None:
    sitting = Sitting(path, *TEN_FACTS[:5], "two, and one hisses", "yes", "never asked")
    state = sitting.run()
    assert state.stopped is not None
    assert sitting.answers == ["never asked"]
    assert "STOP: hissing, fizzing or bubbling." in sitting.lines
    assert "Emergency number: 111" in sitting.told
    assert "Noted at 2026-05-03 10:05." in sitting.told
    assert "Nobody goes near it before 2026-05-03 11:05." in sitting.lines
    assert load(path).complaints["danger"].symptom == "hiss"


@pytest.mark.parametrize("end", [EOFError, KeyboardInterrupt])
def test_who_leaves_while_danger_is_asked_about_still_gets_the_drill(
    path: Path, end: type[BaseException]
) -> None:
    sitting = Sitting(path, "the plug is hot", at_end=end)
    assert sitting.run().stopped is not None
    assert "STOP: " in sitting.told
    assert "stopped: heat" in path.read_text()


def test_the_drill_is_said_even_where_the_file_cannot_be_written(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sitting = Sitting(path, "smoke")
    path.write_text("case: x\ncomplaints: {a: {says: dim, symptom: lights_dim}}\n")

    def full(path: Path, text: str) -> None:
        raise OSError("no space left")

    monkeypatch.setattr("ringout.interview.terminal.write_whole", full)
    with pytest.raises(OSError, match="no space left"):
        sitting.run()
    assert "STOP: smell of burning, smoke, sparks or flames." in sitting.lines


def test_a_file_edited_meanwhile_keeps_what_was_edited(path: Path) -> None:
    sitting = Sitting(path, "dim lights", "1")
    hear = sitting.ask

    def ask(prompt: str) -> str:
        if len(sitting.answers) == 1:
            path.write_text(path.read_text() + "about: by hand\n")
        return hear(prompt)

    interview(path, no_look, ask=ask, say=sitting.say, now=lambda: NOW)
    made = load(path)
    assert (made.frame.about, made.complaints["main"].symptom) == ("by hand", "lights_dim")


def test_a_file_that_cannot_be_used_is_left_alone(path: Path) -> None:
    path.write_text("case: x\nkindd: boat\n")
    with pytest.raises(Unusable, match="did you mean 'kind'"):
        Sitting(path).run()
    assert path.read_text() == "case: x\nkindd: boat\n"
