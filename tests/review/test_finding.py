"""Order of findings, consequences beneath their causes, grades, and what a finding rests on."""

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest

from ringout.case.load import load_text
from ringout.review.finding import LEVELS, Finding, findings
from ringout.review.review import Review, review
from ringout.rulebase.load import rulebase
from ringout.rulebase.rule import Rule
from ringout.shipped import cases_root

MakeRule = Callable[..., Rule]
Judge = Callable[..., Review]

BARE = "b1: {kind: battery, post_covers: none}"
CASES = sorted(path.stem for path in cases_root().glob("*.yaml"))


def names(found: tuple[Finding, ...]) -> list[str]:
    return [each.rule.name for each in found]


def with_beneath(found: tuple[Finding, ...]) -> list[Finding]:
    return [each for top in found for each in (top, *with_beneath(tuple(top.beneath)))]


# Source: MIL-STD-882E (standard practice, 2012), table III, the risk assessment matrix.
TABLE_III = {
    "A": ("high", "high", "serious", "medium"),
    "B": ("high", "high", "serious", "medium"),
    "C": ("high", "serious", "medium", "low"),
    "D": ("serious", "medium", "medium", "low"),
    "E": ("medium", "medium", "medium", "low"),
}


@pytest.mark.parametrize("probability", TABLE_III)
@pytest.mark.parametrize("severity", [1, 2, 3, 4])
def test_levels_of_risk_are_those_published(severity: int, probability: str) -> None:
    assert LEVELS[severity, probability] == TABLE_III[probability][severity - 1]


def test_the_class_comes_first_whatever_the_risk(rule: MakeRule, judge: Judge) -> None:
    frequent = {"severity": "1", "probability": "A"}
    rare = {"severity": "4", "probability": "E"}
    rules = [rule(f"class-{cls}", cls, finding=rare if cls == 1 else frequent) for cls in (5, 3, 1, 4, 2)]
    assert names(judge(BARE, rules).found) == ["class-1", "class-2", "class-3", "class-4", "class-5"]


def test_inside_a_class_the_risk_decides(rule: MakeRule, judge: Judge) -> None:
    grades = {"a-low": ("4", "C"), "b-medium": ("3", "C"), "c-serious": ("3", "B"), "d-high": ("2", "B")}
    rules = [
        rule(name, finding={"severity": severity, "probability": probability})
        for name, (severity, probability) in grades.items()
    ]
    assert names(judge(BARE, rules).found) == ["d-high", "c-serious", "b-medium", "a-low"]


def test_at_equal_risk_what_explains_a_complaint_comes_first(rule: MakeRule, judge: Judge) -> None:
    rules = [rule("a-other"), rule("b-explains", finding={"explains": ["sparks"]})]
    complaint = "complaints: {c: {says: it sparks, symptom: sparks}}\n"
    assert names(judge(BARE, rules, complaint).found) == ["b-explains", "a-other"]
    assert names(judge(BARE, rules).found) == ["a-other", "b-explains"]


def test_then_the_wider_margin(rule: MakeRule, judge: Judge) -> None:
    battery = "b1: {kind: battery, capacity: 100 Ah}"
    rules = [
        rule("a-just-below", when={"lt": ["b.capacity", "101 Ah"]}),
        rule("b-far-below", when={"lt": ["b.capacity", "400 Ah"]}),
    ]
    assert names(judge(battery, rules).found) == ["b-far-below", "a-just-below"]


def test_then_the_name_so_that_the_order_is_total(rule: MakeRule, judge: Judge) -> None:
    two = BARE + "\na0: {kind: battery, post_covers: none}"
    found = judge(two, [rule("b-rule"), rule("a-rule")]).found
    assert [(each.rule.name, each.about) for each in found] == [
        ("a-rule", "battery a0"),
        ("a-rule", "battery b1"),
        ("b-rule", "battery a0"),
        ("b-rule", "battery b1"),
    ]


@pytest.mark.parametrize("name", CASES)
def test_the_order_of_every_sample_is_class_then_risk(reviewed: Callable[[str], Review], name: str) -> None:
    for before, after in pairwise(reviewed(name).found):
        assert (before.cls, before.risk) <= (after.cls, after.risk)


def cause_and_consequence(rule: MakeRule, cause: int, consequence: int) -> list[Rule]:
    concludes = {"fact": "uneven", "keys": {"bank": "b.part"}}
    partner = {"u": {"fact": "uneven", "where": {"bank": "b.part"}}}
    return [
        rule("cause", cause, concludes=concludes),
        rule("consequence", consequence, with_=partner, when={"eq": ["b.restraint", "none"]}),
    ]


LOOSE = "b1: {kind: battery, post_covers: none, restraint: none}"


@pytest.mark.parametrize(("cause", "consequence"), [(4, 4), (5, 3), (3, 5), (2, 2), (1, 2)])
def test_a_consequence_stands_under_its_cause(
    rule: MakeRule, judge: Judge, cause: int, consequence: int
) -> None:
    [top] = judge(LOOSE, cause_and_consequence(rule, cause, consequence)).found
    assert top.rule.name == "cause"
    assert [each.rule.name for each in top.beneath] == ["consequence"]
    assert top.cls == min(cause, consequence), "a cause is as grave as what it leads to"
    assert top.grade.cls == cause


@pytest.mark.parametrize(("cause", "consequence"), [(5, 2), (4, 1), (3, 2), (2, 1)])
def test_a_danger_is_never_folded_under_a_lesser_cause(
    rule: MakeRule, judge: Judge, cause: int, consequence: int
) -> None:
    found = judge(LOOSE, cause_and_consequence(rule, cause, consequence)).found
    assert names(found) == ["consequence", "cause"]
    assert [each.beneath for each in found] == [[], []]


def test_a_cause_explains_what_its_consequences_explain(rule: MakeRule, judge: Judge) -> None:
    cause, consequence = cause_and_consequence(rule, 4, 4)
    explaining = rule(
        "consequence",
        with_={"u": {"fact": "uneven", "where": {"bank": "b.part"}}},
        when={"eq": ["b.restraint", "none"]},
        finding={"explains": ["sparks"]},
    )
    complaint = "complaints: {c: {says: it sparks, symptom: sparks}}\n"
    found = judge(LOOSE, [rule("a-other"), cause, explaining], complaint).found
    assert names(found) == ["cause", "a-other"]
    found = judge(LOOSE, [rule("a-other"), cause, consequence], complaint).found
    assert names(found) == ["a-other", "cause"]


def test_what_is_found_is_not_folded_under_an_open_question(rule: MakeRule, judge: Judge) -> None:
    """Two rules conclude the same: one is sure of it, the other waits for what nobody looked at."""
    concludes = {"fact": "uneven", "keys": {"bank": "b.part"}}
    partner = {"u": {"fact": "uneven", "where": {"bank": "b.part"}}}
    rules = [
        rule("sure", concludes=concludes),
        rule("unsure", when={"eq": ["b.vent", "none"]}, concludes=concludes),
        rule("consequence", with_=partner, when={"eq": ["b.restraint", "none"]}),
    ]
    made = judge(LOOSE, rules)
    [top] = made.found
    assert (top.rule.name, [each.rule.name for each in top.beneath]) == ("sure", ["consequence"])
    assert [(each.rule.name, each.beneath) for each in made.open] == [("unsure", [])]


def test_a_danger_found_is_not_hidden_under_an_open_question_as_grave(rule: MakeRule, judge: Judge) -> None:
    """Its sure cause is too slight to stand above it, and the grave one is not known."""
    concludes = {"fact": "uneven", "keys": {"bank": "b.part"}}
    partner = {"u": {"fact": "uneven", "where": {"bank": "b.part"}}}
    rules = [
        rule("sure", 4, concludes=concludes),
        rule("unsure", 2, when={"eq": ["b.vent", "none"]}, concludes=concludes),
        rule("danger", 2, with_=partner, when={"eq": ["b.restraint", "none"]}),
    ]
    made = judge(LOOSE, rules)
    assert names(made.found) == ["danger", "sure"]
    assert [(each.rule.name, each.beneath) for each in made.open] == [("unsure", [])]


def test_an_open_question_is_not_printed_as_a_consequence_of_what_is_found(
    rule: MakeRule, judge: Judge
) -> None:
    made = judge("b1: {kind: battery, post_covers: none}", cause_and_consequence(rule, 4, 4))
    assert [(each.rule.name, each.beneath) for each in made.found] == [("cause", [])]
    assert [each.rule.name for each in made.open] == ["consequence"]


def test_an_open_consequence_stands_under_its_open_cause(rule: MakeRule, judge: Judge) -> None:
    made = judge("b1: {kind: battery, restraint: none}", cause_and_consequence(rule, 4, 4))
    assert made.found == ()
    [top] = made.open
    assert (top.rule.name, [each.rule.name for each in top.beneath]) == ("cause", ["consequence"])


def test_three_levels_hang_under_one_another(rule: MakeRule, judge: Judge) -> None:
    cause, _ = cause_and_consequence(rule, 4, 4)
    second = rule(
        "second",
        with_={"u": {"fact": "uneven", "where": {"bank": "b.part"}}},
        concludes={"fact": "overworked", "keys": {"bank": "b.part", "battery": "b.part"}},
    )
    third = rule("third", with_={"o": {"fact": "overworked", "where": {"battery": "b.part"}}})
    [top] = judge(LOOSE, [cause, second, third]).found
    assert names((top, *top.beneath, *top.beneath[0].beneath)) == ["cause", "second", "third"]


def test_an_open_danger_stands_right_after_found_ones_of_its_class(rule: MakeRule, judge: Judge) -> None:
    rules = [
        rule("found-4", 4),
        rule("found-2", 2, finding={"severity": "4", "probability": "E"}),
        rule("open-2", 2, when={"eq": ["b.vent", "none"]}, finding={"severity": "1", "probability": "A"}),
        rule("found-1", 1),
    ]
    made = judge(BARE, rules)
    order = [each.rule.name for each in findings(made.case, made.chained)]
    assert order == ["found-1", "found-2", "open-2", "found-4"]


def test_a_graver_grade_takes_over_only_where_its_condition_holds(rule: MakeRule, judge: Judge) -> None:
    graver = [
        {"when": {"eq": ["b.vent", "none"]}, "class": "1", "severity": "1", "probability": "A"},
        {"when": {"eq": ["b.restraint", "none"]}, "class": "2", "severity": "2", "probability": "C"},
    ]
    one = rule("one", 4, finding={"graver": graver})
    vented = "b1: {kind: battery, post_covers: none, restraint: strapped, vent: tube}"
    [plain] = judge(vented, [one]).found
    assert (plain.cls, plain.level) == (4, "serious")
    [loose] = judge(LOOSE, [one]).found
    assert (loose.cls, loose.level) == (2, "serious"), "not known whether it vents: no reason for class 1"
    [both] = judge("b1: {kind: battery, post_covers: none, restraint: none, vent: none}", [one]).found
    assert (both.cls, both.level) == (1, "high")


def test_a_rule_without_words_makes_no_finding(rule: MakeRule, judge: Judge) -> None:
    silent = rule("silent", concludes={"fact": "uneven", "keys": {"bank": "b.part"}}, finding_=None)
    made = judge(BARE, [silent])
    assert (made.found, made.open) == ((), ())
    assert made.counts["wrong"] == 1


def test_words_are_filled_with_names_and_values(rule: MakeRule, judge: Judge) -> None:
    text = {"seen": "{b.part} holds {b.capacity}, is {b.chemistry}, stands {b.restraint}"}
    battery = "b1: {kind: battery, capacity: 90..110 Ah, chemistry: AGM, post_covers: none}"
    [found] = judge(battery, [rule("one", finding=text)]).found
    words = "battery b1 holds 90 to 110 Ah, is AGM, stands boxed tight or clamped or none or strapped"
    assert found.seen == words


def test_an_open_finding_has_its_own_title(rule: MakeRule, judge: Judge) -> None:
    [found] = judge("b1: {kind: battery}", [rule("one", finding={"open_title": "{b.part}: not seen"})]).open
    assert (found.title, found.open) == ("battery b1: not seen", True)
    [sure] = judge(BARE, [rule("one", finding={"open_title": "{b.part}: not seen"})]).found
    assert (sure.title, sure.open) == ("title of one", False)


def test_evidence_is_the_lines_of_the_case_and_no_table(rule: MakeRule, judge: Judge) -> None:
    battery = "b1: {kind: battery, capacity: 100 Ah, post_covers: none}"
    when = {"all": [{"eq": ["b.post_covers", "none"]}, {"lt": ["b.capacity", "400 Ah"]}]}
    [found] = judge(battery, [rule("one", when=when)]).found
    assert [str(spot) for spot in found.evidence] == ["made.yaml:3:33", "made.yaml:3:54"]


@pytest.mark.parametrize("name", CASES)
def test_evidence_of_the_samples_is_in_their_own_file(reviewed: Callable[[str], Review], name: str) -> None:
    made = reviewed(name)
    files = {spot.file for each in with_beneath((*made.found, *made.open)) for spot in each.evidence}
    assert files <= {made.case.document.file}


def test_what_is_only_assumed_is_named_and_finds_nothing_by_itself(rule: MakeRule, judge: Judge) -> None:
    made = judge("b1: {kind: battery, post_covers: none (assumed)}", [rule("one")])
    assert made.found == ()
    [found] = made.open
    assert [leaf.path for leaf in found.assumed] == ["b1.post_covers"]


def test_numbers_are_the_values_compared_each_once(rule: MakeRule, judge: Judge) -> None:
    when = {"all": [{"lt": ["b.capacity", "400 Ah"]}, {"gt": ["b.capacity", "50 Ah"]}]}
    [found] = judge("b1: {kind: battery, capacity: 100 Ah}", [rule("one", when=when)]).found
    assert [name for name, _ in found.numbers if not name.startswith("rule.")] == ["b1.capacity"]
    assert len(found.numbers) == 3


# -- what was read and what was worked out -------------------------------------------------------------------

LOST = """\
case: made for a test
dc_volts: 12 V
parts:
  b1: {kind: battery, nominal: 12 V (label), capacity: 200 Ah (label)}
  fridge: {kind: compressor_fridge, current: 6 A (label)}
  fan: {kind: dc_load, current: 1 A (label)}
dc:
  - b1 = fridge : 2.5 mm2, 8 m
  - b1 = fan : 1.5 mm2, 1 m
readings:
  lost: {what: drop, value: 0.65 V, of: fridge, set: run}
"""
AS_READ = "load-loses-volts-as-read"


def lost(text: str) -> dict[str, Finding]:
    return {each.rule.name: each for each in review(load_text(text, "made.yaml"), "plain").found}


def test_one_loss_read_and_worked_out_is_one_headline_with_both_numbers() -> None:
    found = lost(LOST)
    assert AS_READ not in found
    # A fridge's lead is held to 3 % by one rule and to 5 % by another; the reading bears out the graver one.
    tops = [each for each in found.values() if AS_READ in names(tuple(each.beneath))]
    assert [each.rule.name for each in tops] == ["fridge-starved-by-its-lead"]
    [read] = [each for each in tops[0].beneath if each.rule.name == AS_READ]
    assert "0.65 V was read" in read.seen and "loses 0.6" in tops[0].seen


def test_what_was_read_elsewhere_or_alone_stands_by_itself() -> None:
    assert AS_READ in lost(LOST.replace("2.5 mm2, 8 m", "10 mm2, 4 m").replace("0.65 V, of", "0.65 V, points: x y, of"))
    fan = LOST.replace("of: fridge", "points: x y, of: fan")
    assert AS_READ in lost(fan)


def test_every_rule_that_is_confirmed_is_there() -> None:
    rules = {rule.name: rule for rule in rulebase()}
    confirming = [rule for rule in rules.values() if rule.finding is not None and rule.finding.confirms]
    assert len(confirming) >= 3
    for rule in confirming:
        assert rule.finding is not None and set(rule.finding.confirms) <= rules.keys(), rule.name


def test_an_open_danger_has_the_class_that_the_reading_in_doubt_gives_it(rule: MakeRule, judge: Judge) -> None:
    graver = [{"when": {"gt": ["l.current", "50 A"]}, "class": "2", "severity": "2", "probability": "C"}]
    words = {key: "words" for key in ("seen", "means", "do", "confirm", "prove", "wrong_when")}
    finding = words | {"graver": graver}
    one = rule("one", 4, looks_at={"l": "dc_load"}, when={"gt": ["l.current", "10 A"]}, finding=finding)
    load = "pump: {kind: dc_load, current: 7 A (label)}"
    read = "readings: {r: {what: current, value: %s, of: pump, loads: pump}}\n"
    assert [each.grade.cls for each in judge(load, [one], read % "90 A").open] == [2]
    assert [each.grade.cls for each in judge(load, [one], read % "20 A").open] == [4]
    assert [each.doubted[0].path for each in judge(load, [one], read % "20 A").open] == ["pump.current.as_read"]
    # What the label shows to be wrong stays wrong, in its own class.
    hot = load.replace("7 A", "40 A")
    assert [each.grade.cls for each in judge(hot, [one], read % "90 A").found] == [4]
    assert [each.grade.cls for each in judge(hot, [one], read % "5 A").found] == [4]
    assert judge(load, [one], read % "7.2 A").open == ()


def test_margins_that_differ_by_rounding_alone_are_alike(reviewed: Callable[[str], Review]) -> None:
    finding, asked = reviewed("reed-loop").found[0], frozenset[str]()
    assert 0.1 + 0.2 > 0.3, "by rounding"
    assert replace(finding, margin=0.1 + 0.2).order(asked) == replace(finding, margin=0.3).order(asked)
    assert replace(finding, margin=0.31).order(asked) < replace(finding, margin=0.3).order(asked)
