"""What a change of the rules does to findings: exactly what changed, and nothing where nothing did."""

import shutil
from pathlib import Path

import pytest

from ringout.lint.effect import Effect, effect, judged
from ringout.rulebase.limits import limits
from ringout.shipped import cases_root, elsewhere, rules_root
from ringout.text.problem import Unusable

CASES = [cases_root() / f"{name}.yaml" for name in ("heron", "ten-facts")]
Told = list[tuple[str, str, tuple[str, ...], int | None, int | None]]


@pytest.fixture
def old(tmp_path: Path) -> Path:
    return Path(shutil.copytree(rules_root(), tmp_path / "old"))


def swap(file: Path, one: str, other: str) -> None:
    text = file.read_text()
    assert text.count(one) == 1
    file.write_text(text.replace(one, other))


def told(made: Effect, *lists: str) -> Told:
    found = made.settled() if lists == ("settled",) else made.of(*lists)
    return [(path.stem, *each.identity, each.before.cls, each.after.cls) for path, each in found]


ALL = ("new", "now_known", "gone", "unsettled", "changed", "opened")


def test_the_same_rules_change_nothing(old: Path) -> None:
    made = effect(old, CASES)
    assert told(made, *ALL) == told(made, "settled") == list(made.unread) == []
    assert made.before.digest == made.after.digest and made.before.rules == made.after.rules


def test_a_limit_that_was_lower_moves_a_class(old: Path) -> None:
    swap(old / "limits" / "cable_uniformity.yaml", "value: 133 %", "value: 120 %")
    made = effect(old, CASES)
    rule = "near-battery-over-its-limit"
    assert told(made, *ALL) == [("heron", rule, ("house", "b1"), 2, 3)]


def test_a_rule_that_was_not_there_adds_its_findings_and_only_those(old: Path) -> None:
    (old / "cable_uniformity" / "unequal-battery-paths.yaml").unlink()
    (old / "cable_uniformity" / "near-battery-over-its-limit.yaml").unlink()
    shutil.rmtree(old / "remedies")
    made = effect(old, CASES)
    new = {(case, rule) for case, rule, *_ in told(made, "new", "now_known")}
    # The last of the three follows from what the second concludes.
    wanted = ("unequal-battery-paths", "near-battery-over-its-limit", "hard-worked-battery-died-early")
    assert new == {("heron", rule) for rule in wanted}
    assert told(made, "gone", "unsettled") == []
    assert made.after.rules - made.before.rules == {"near-battery-over-its-limit", "unequal-battery-paths"}
    # The other way round the same findings are removed.
    back = effect(rules_root(), CASES, old)
    assert {(case, rule) for case, rule, *_ in told(back, "gone", "unsettled")} == new


def test_an_open_question_that_a_change_closes_is_told(old: Path) -> None:
    swap(
        old / "shock" / "rcd-missing.yaml",
        "when: {eq: [guard.rcd, no]}",
        "when: {in: [guard.rcd, [yes, no]]}",
    )
    back = effect(rules_root(), CASES, old)
    assert told(back, "settled") == []
    (old / "shock" / "rcd-missing.yaml").unlink()
    shutil.rmtree(old / "remedies")
    gone = effect(rules_root(), CASES, old)
    assert told(gone, "settled") == [("ten-facts", "rcd-missing", ("outlet",), 2, None)]


def test_nothing_of_the_other_folder_is_left_behind(old: Path) -> None:
    swap(old / "limits" / "cable_uniformity.yaml", "value: 133 %", "value: 120 %")
    before = limits()["lopsided_share"].leaves[""].text
    effect(old, CASES[:1])
    assert elsewhere() is None and limits()["lopsided_share"].leaves[""].text == before == "133 %"


def test_a_case_that_only_one_can_read_is_not_compared(old: Path, tmp_path: Path) -> None:
    file = old / "forms" / "surroundings.yaml"
    text = file.read_text()
    start, end = text.index("  afloat:"), text.index("  body:")
    file.write_text(text[:start] + text[end:])
    swap(old / "facts.yaml", "reads: [ambient, lowest, afloat]", "reads: [ambient, lowest]")
    (old / "shock" / "shore-earth-not-isolated-afloat.yaml").unlink()
    made = effect(old, [cases_root() / "plover.yaml", cases_root() / "ten-facts.yaml"])
    ((path, fault),) = made.unread
    assert path.stem == "plover" and "afloat" in str(fault)


@pytest.mark.parametrize(
    ("name", "text", "error"),
    [
        ("limits/shock.yaml", "x: {\n", "expected a closing } after this"),
        ("facts.yaml", "battery: 1\n", "expected names with values"),
        ("loads/new.yaml", "rule: new\n", "expected 'title: ...'"),
    ],
)
def test_broken_knowledge_is_refused_with_its_place(old: Path, name: str, text: str, error: str) -> None:
    (old / name).write_text(text)
    with pytest.raises(Unusable) as refused:
        effect(old, CASES[:1])
    assert str(refused.value).startswith(f"{old / name}:1:") and error in str(refused.value)


def test_a_folder_without_rules_is_no_rule_base(tmp_path: Path) -> None:
    for folder, found in ((tmp_path / "none", "no such folder"), (tmp_path, "no facts.yaml in it")):
        with pytest.raises(Unusable, match=found):
            judged([], folder)
