"""The rules of a folder: every file read, every fault named, rules sorted into levels."""

from pathlib import Path

import pytest

from ringout.rulebase.load import levelled, load_rules, rulebase
from ringout.rulebase.rule import Conclusion, Rule, Term
from ringout.rulebase.shape import AREAS
from ringout.shipped import rules_root
from ringout.text.problem import Spot, Unusable

GOOD = (Path(__file__).parent / "good.yaml").read_text("utf-8")


def rule(name: str, reads: str, makes: str = "") -> Rule:
    """A rule that reads a fact beside its anchor and concludes another."""
    terms = Term("a", "bank", {}, {}), Term("b", reads, {}, {})
    conclusion = Conclusion(makes, {}) if makes else None
    spot = Spot(f"{name}.yaml", 1, 7)
    return Rule(name, "t", "loads", "s", terms, None, None, None, conclusion, None, (), (), spot)


def levels(*rules: Rule) -> dict[str, int]:
    return {each.name: each.level for each in levelled(list(rules))}


def folder(root: Path, **files: str) -> Path:
    for name, text in files.items():
        path = root / "loads" / f"{name}.yaml"
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return root


def test_a_rule_stands_above_those_whose_conclusions_it_reads() -> None:
    assert levels(
        rule("third", "flattened"),
        rule("second", "overnight_drain", "flattened"),
        rule("first", "loop_cost", "overnight_drain"),
        rule("alone", "battery"),
    ) == {"alone": 1, "first": 1, "second": 2, "third": 3}


def test_a_rule_stands_above_every_maker_of_what_it_reads() -> None:
    found = levels(
        rule("reader", "overnight_drain"),
        rule("low", "loop_cost", "overnight_drain"),
        rule("high", "circulating", "overnight_drain"),
        rule("lowest", "charging", "circulating"),
    )
    assert found == {"low": 1, "lowest": 1, "high": 2, "reader": 3}


def test_rules_come_by_level_then_name_however_they_are_given() -> None:
    rules = [rule("b", "battery"), rule("c", "loop_cost", "uneven"), rule("a", "uneven")]
    assert [each.name for each in levelled(rules)] == ["b", "c", "a"]
    assert levelled(rules) == levelled(rules[::-1])
    assert levelled([]) == ()


def test_a_name_given_twice_is_a_fault_with_both_places() -> None:
    with pytest.raises(Unusable, match=r"^same.yaml:1:7: same: expected a new name, found the name of same"):
        levels(rule("same", "battery"), rule("same", "bank"))


def test_rules_that_wait_for_each_other_are_a_fault() -> None:
    with pytest.raises(Unusable) as caught:
        levels(
            rule("one", "uneven", "flattened"),
            rule("other", "flattened", "uneven"),
            rule("sound", "battery"),
        )
    expected = "expected conclusions that do not wait for each other, found a wait for"
    assert [str(each) for each in caught.value.problems] == [
        f"one.yaml:1:7: one: {expected} 'uneven'",
        f"other.yaml:1:7: other: {expected} 'flattened'",
    ]


def test_a_rule_that_waits_for_itself_is_a_fault() -> None:
    with pytest.raises(Unusable, match=r"^own\.yaml:1:7: own"):
        levels(rule("own", "uneven", "uneven"))


def test_every_file_of_every_area_is_read(tmp_path: Path) -> None:
    root = folder(tmp_path, one=GOOD, two=GOOD.replace("rule: blower-starves", "rule: other"))
    assert [each.name for each in load_rules(root)] == ["blower-starves", "other"]
    assert load_rules(tmp_path / "loads") == ()


def test_the_faults_of_all_files_come_at_once(tmp_path: Path) -> None:
    bad = GOOD.replace("class: 4", "class: 6")
    with pytest.raises(Unusable) as caught:
        load_rules(folder(tmp_path, one=bad, two=bad.replace("looks_at", "look_at"), three=GOOD))
    assert {Path(each.spot.file).name for each in caught.value.problems} == {"one.yaml", "two.yaml"}


def test_the_shipped_rules_are_all_there() -> None:
    files = [path for area in AREAS for path in (rules_root() / area).glob("*.yaml")]
    assert len(rulebase()) == len(files) > 0
    assert all(each.level >= 1 for each in rulebase())
