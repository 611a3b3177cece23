"""`ringout compare`: what it prints and how it ends."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Ringout = Callable[..., Any]

LOOP, CURED, UNKNOWN = "cases/reed-loop.yaml", "cases/reed-cured.yaml", "cases/reed-unknown.yaml"
TITLE = "The charger runs from the battery it charges (charger)"
PLAIN = ("--engine", "plain")


def one_line(text: str) -> str:
    return " ".join(text.split())


def test_what_is_gone_is_said_with_how_it_stands_now(ringout: Ringout) -> None:
    ran = ringout("compare", LOOP, CURED, *PLAIN)
    assert (ran.status, ran.err) == (0, "")
    said = one_line(ran.out)
    assert said.startswith("Before: reed-loop.yaml, The reed van, as it came in After: reed-cured.yaml,")
    assert "3 gone, 0 new" in said
    lapse = "A forgotten changeover sets up the charge loop on shore (charger)"
    assert f"GONE - {lapse}: was class 4, now right - {TITLE}" in said
    assert "now does not apply" in said
    assert said.count("This review advises") == 1
    assert max(map(len, ran.out.splitlines())) <= 80


@pytest.mark.parametrize(("least", "status"), [((), 1), (("--least", "4"), 1), (("--least", "3"), 0)])
def test_something_new_of_the_asked_class_ends_with_1(
    ringout: Ringout, least: tuple[str, ...], status: int
) -> None:
    ran = ringout("compare", CURED, LOOP, *least, *PLAIN)
    assert ran.status == status
    assert "NEW: wrong now, and not before - A forgotten changeover sets up" in one_line(ran.out)
    assert f"{TITLE}: class 4" in one_line(ran.out)


def test_what_is_only_known_now_is_not_new(ringout: Ringout) -> None:
    ran = ringout("compare", UNKNOWN, LOOP, *PLAIN)
    assert ran.status == 0
    assert "ONLY KNOWN NOW: wrong now, not known before" in ran.out
    assert "NEW" not in ran.out


def test_what_is_no_longer_known_is_not_called_gone(ringout: Ringout) -> None:
    ran = ringout("compare", LOOP, UNKNOWN, *PLAIN)
    assert ran.status == 0
    assert "NOT SHOWN TO BE GONE: wrong before, not known now" in ran.out
    assert f"{TITLE}: class 4" in one_line(ran.out)
    assert "\nGONE" not in ran.out


def test_a_case_and_its_own_changes_are_two_stages(ringout: Ringout, tmp_path: Path) -> None:
    text = (Path(__file__).parents[2] / "cases/heron.yaml").read_text("utf-8")
    case = tmp_path / "heron.yaml"
    case.write_text(f'{text}changed:\n  - {{at: "10:40", set: {{charger.profile: AGM}}}}\n', "utf-8")
    ran = ringout("compare", str(case), *PLAIN)
    assert ran.status == 0
    said = one_line(ran.out)
    assert "The Heron, as found (as left)" in said
    gone = said.partition("GONE")[2]
    assert "A lead battery is charged on a lithium setting (charger, bank house): was class 3" in gone
    assert "STILL WRONG" in said


def test_json_holds_every_list_with_verdicts_and_classes(ringout: Ringout) -> None:
    ran = ringout("compare", LOOP, CURED, "--format", "json", *PLAIN)
    made = json.loads(ran.out)
    assert ran.status == 0
    assert made["before"] == {"file": LOOP, "title": "The reed van, as it came in"}
    assert (made["version"], made["engine"]) == (1, "plain")
    assert {
        "rule": "charger-fed-by-its-own-battery",
        "about": ["charger"],
        "title": "The charger runs from the battery it charges",
        "before": {"verdict": "found", "class": 4},
        "after": {"verdict": "clear", "class": None},
    } in made["gone"]
    lists = ("new", "now_known", "still", "unsettled", "changed_class")
    assert [made[name] for name in lists] == [[], [], [], [], []]
    assert all(each["after"]["verdict"] == "cannot-tell" for each in made["opened"])


def test_what_is_not_in_the_second_case_is_absent(ringout: Ringout, tmp_path: Path) -> None:
    empty = tmp_path / "empty.yaml"
    empty.write_text("case: nothing aboard\ninvented: yes\n", "utf-8")
    made = json.loads(ringout("compare", LOOP, str(empty), "--format", "json", *PLAIN).out)
    assert {each["after"]["verdict"] for each in made["gone"]} == {"absent"}


def test_another_class_is_shown_beside_the_old_one(ringout: Ringout, tmp_path: Path) -> None:
    text = "case: punt\ninvented: yes\nparts:\n  b1: {kind: battery, chemistry: LFP}\n"
    text += "  charger: {kind: mains_charger, absorption: 13.6 V}\ndc_volts: 12 V\n"
    one, other = tmp_path / "one.yaml", tmp_path / "other.yaml"
    one.write_text(text, "utf-8")
    other.write_text(text.replace("LFP", "AGM"), "utf-8")
    said = one_line(ringout("compare", str(one), str(other), *PLAIN).out)
    assert "A charge source never fills the battery (charger, battery b1): class 3, was 4" in said


@pytest.mark.parametrize(
    ("words", "problem"),
    [
        (("nowhere.yaml", LOOP), "nowhere.yaml:1:1: expected a file, found nothing of that name"),
        ((LOOP, "nowhere.yaml"), "nowhere.yaml:1:1: expected a file, found nothing of that name"),
        (
            (LOOP,),
            f"ringout compare: {LOOP}: expected a second case file, or changes in the first, but nothing",
        ),
    ],
)
def test_what_cannot_be_used_ends_with_2(ringout: Ringout, words: tuple[str, ...], problem: str) -> None:
    ran = ringout("compare", *words)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith(problem)
