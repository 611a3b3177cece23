"""`ringout rules`: list, page, search, faults, effect, and how each ends."""

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ringout.shipped import rules_root

Ringout = Callable[..., Any]
TOP = Path(__file__).resolve().parents[2]


@pytest.fixture
def old(tmp_path: Path) -> Path:
    return Path(shutil.copytree(rules_root(), tmp_path / "old"))


def test_all_rules_are_listed_by_area(ringout: Ringout) -> None:
    ran = ringout("rules")
    assert (ran.status, ran.err) == (0, "")
    files = [path.stem for path in rules_root().glob("*/*.yaml") if "\nexamples:" in path.read_text("utf-8")]
    assert sorted(line.strip() for line in ran.out.splitlines() if line.startswith("     ")) == sorted(files)
    assert ran.out.startswith(f"{len(files)} rules\n")
    assert "SHOCK PROTECTION (shock, " in ran.out
    assert "  1  An RCD or mains breaker is bypassed\n     mains-guard-bypassed\n" in ran.out


def test_one_rule_is_a_page(ringout: Ringout) -> None:
    ran = ringout("rules", "rcd-trips-too-late-for-people")
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith("An RCD lets more current pass than a body stands\n")
    assert "rules/shock/rcd-trips-too-late-for-people.yaml:1:7" in ran.out
    for part in ("30 mA (rcd_for_people)", "a licensed electrician. Mains work", "SOURCES", "EXAMPLES (6)"):
        assert part in ran.out
    assert max(map(len, ran.out.splitlines())) <= 80


def test_words_are_searched_for(ringout: Ringout) -> None:
    ran = ringout("rules", "bottled", "gas")
    assert (ran.status, ran.err) == (0, "")
    assert "inverter-beside-gas" in ran.out and "rcd-missing" not in ran.out


def test_words_that_no_rule_holds_are_one_clear_line(ringout: Ringout) -> None:
    ran = ringout("rules", "absorption-to-high")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == (
        "ringout rules: expected the name of a rule or words of one, found 'absorption-to-high'; "
        "did you mean 'absorption-too-high'?\n"
    )


def test_a_clean_rule_base_ends_with_0_and_a_complaint_with_1(ringout: Ringout, old: Path) -> None:
    file = old / "limits" / "loads.yaml"
    file.write_text(file.read_text("utf-8").replace('"common practice, no source"', '"somebody said so"', 1))
    ran = ringout("rules", "--lint", "--rules", str(old))
    line = 1 + file.read_text("utf-8")[: file.read_text("utf-8").index('"somebody')].count("\n")
    assert (ran.status, ran.err) == (1, "")
    assert ran.out.startswith("LENGTHS, SOURCES, WORDS THAT LOOK LIKE A BRAND (1)\n")
    assert f"{file}:{line}:11: notable_drain: expected a title with (kind, year)" in ran.out
    assert ran.out.endswith(" cases: 1 to mend\n")
    file.write_text((rules_root() / "limits" / "loads.yaml").read_text("utf-8"))
    ran = ringout("rules", "--lint", "--rules", str(old))
    assert (ran.status, ran.err) == (0, "") and ran.out.endswith(" cases: nothing to mend\n")


def test_an_effect_is_told_with_its_totals(ringout: Ringout, old: Path) -> None:
    file = old / "limits" / "cable_uniformity.yaml"
    file.write_text(file.read_text("utf-8").replace("value: 133 %", "value: 120 %", 1))
    ran = ringout("rules", "--effect", str(old))
    assert (ran.status, ran.err) == (1, "")
    assert "MOVED: wrong by both, in another class (2)\n  heron.yaml: Uneven wiring" in ran.out
    assert "    near-battery-over-its-limit: wrong, class 2 -> wrong, class 3\n" in ran.out
    assert "0 added, 0 removed, 2 moved, 0 opened, 0 settled, over " in ran.out


def test_the_same_rules_have_no_effect(ringout: Ringout) -> None:
    ran = ringout("rules", "--effect", "rules", "--cases", "tests/field/cases")
    cases = len([*(TOP / "cases").glob("*.yaml"), *(TOP / "tests" / "field" / "cases").glob("*.yaml")])
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.endswith(f"0 added, 0 removed, 0 moved, 0 opened, 0 settled, over {cases} cases.\n")


@pytest.mark.parametrize(
    ("words", "error"),
    [
        (("--effect", "nowhere"), "nowhere:1:1: expected a folder of rules, found no such folder\n"),
        (("--lint", "--rules", "cases"), "cases:1:1: expected a folder of rules, found no facts.yaml in it\n"),
        (("--lint", "--cases", "engine"), "engine:1:1: expected a folder of case files, found none in it\n"),
    ],
)
def test_a_folder_of_no_use_is_one_clear_line(ringout: Ringout, words: tuple[str, ...], error: str) -> None:
    ran = ringout("rules", *words)
    assert (ran.status, ran.out, ran.err) == (2, "", error)


def test_broken_old_rules_are_one_clear_line(ringout: Ringout, old: Path) -> None:
    (old / "limits" / "shock.yaml").write_text("x: {\n")
    ran = ringout("rules", "--effect", str(old))
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith(f"{old}/limits/shock.yaml:1:4: expected a closing") and ran.err.count("\n") == 1
