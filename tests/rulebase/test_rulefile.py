"""One rule file: read as written, and every broken one earns its exact text."""

from pathlib import Path

import pytest

from ringout.rulebase.condition import AnyOf, Compare, Not
from ringout.rulebase.rule import Conclusion, Grade, Rule, Term
from ringout.rulebase.rulefile import read_rule
from ringout.text.document import read, read_text
from ringout.text.problem import Unusable

HERE = Path(__file__).parent
BROKEN = sorted((HERE / "golden").glob("*.yaml"))
GOOD = (HERE / "good.yaml").read_text("utf-8")


def rule_of(text: str) -> Rule:
    return read_rule(read_text(text, "rule.yaml"))


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.stem)
def test_a_broken_file_earns_its_text(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(path.parent)
    with pytest.raises(Unusable) as caught:
        read_rule(read(Path(path.name)))
    assert str(caught.value) + "\n" == path.with_suffix(".txt").read_text("utf-8")


def test_each_text_has_its_file() -> None:
    assert len(BROKEN) > 50
    assert {path.stem for path in (HERE / "golden").glob("*.txt")} == {path.stem for path in BROKEN}


def test_a_rule_reads_as_written() -> None:
    rule = rule_of(GOOD)
    assert (rule.name, rule.area, rule.level) == ("blower-starves", "loads", 0)
    assert rule.anchor == Term("load", "dc_load", {}, {})
    assert rule.terms[2] == Term(
        "feed",
        "ac_supply",
        {"consumer": ("sag", "appliance"), "source": ("sag", "inverter")},
        {"source_sort": "inverter"},
    )
    assert isinstance(rule.when, AnyOf) and len(rule.when.of) == 2
    assert isinstance(rule.unless, Not)
    assert rule.conclusion == Conclusion("overnight_drain", {"bank": "house", "cause": ("load", "part")})
    assert rule.sources == ("common practice, no source",)
    assert (rule.spot.line, rule.spot.column) == (1, 7)


def test_a_finding_reads_as_written() -> None:
    finding = rule_of(GOOD).finding
    assert finding is not None
    assert finding.grade == Grade(4, 3, "B")
    ((condition, grade),) = finding.graver
    assert isinstance(condition, Compare) and condition.op == "lt"
    assert grade == Grade(3, 3, "A")
    assert (finding.mains, finding.explains, finding.who) == (
        False,
        ("appliance_resets",),
        "auto_electrician",
    )
    assert finding.open_title == "Volts at {load.part}: not known"


def test_yes_stays_a_word() -> None:
    rule = rule_of(GOOD)
    assert isinstance(rule.given, Compare) and rule.given.words == frozenset({"yes"})
    _, said = rule.examples[0].facts[2]
    assert said["away"] == "yes"
    quoted = rule_of(GOOD.replace("given: {eq: [feed.away, yes]}", 'given: {eq: [feed.away, "yes"]}'))
    assert quoted.given == rule.given


def test_an_example_keeps_its_facts_in_order_and_its_place() -> None:
    (example,) = rule_of(GOOD).examples
    assert [fact for fact, _ in example.facts] == ["dc_load", "sag", "ac_supply"]
    assert (example.verdict, example.says) == ("wrong", "too few volts")
    assert example.spot.line == 35


def test_a_concluded_fact_in_an_example_may_be_unsure() -> None:
    more = GOOD + "      - overnight_drain: {bank: house, cause: blower, sure: no}\n"
    assert rule_of(more).examples[0].facts[-1][1]["sure"] == "no"
    with pytest.raises(Unusable, match=r"expected a key of sag, found 'sure'"):
        rule_of(GOOD.replace("volts: 9.5..10 V", "volts: 9.5..10 V, sure: no"))


def test_a_rule_may_conclude_without_a_finding_and_find_without_a_conclusion() -> None:
    start, end = GOOD.index("finding:"), GOOD.index("sources:")
    assert rule_of(GOOD[:start] + GOOD[end:]).finding is None
    concludes = "concludes: {fact: overnight_drain, keys: {bank: house, cause: load.part}}\n"
    assert rule_of(GOOD.replace(concludes, "")).conclusion is None


def test_a_fact_that_cannot_be_read_is_said_once() -> None:
    with pytest.raises(Unusable) as caught:
        rule_of(GOOD.replace("sag: {fact: sag,", "sag: {fact: sagg,"))
    assert len(caught.value.problems) == 1


def test_the_same_text_is_the_same_rule_but_for_its_amounts() -> None:
    # Leaves are told apart by their path, never by what they hold.
    one, other = rule_of(GOOD), rule_of(GOOD)
    assert one.terms == other.terms and one.finding is not None and other.finding is not None
    assert one.finding.grade == other.finding.grade


def graded(example: str) -> Rule:
    return rule_of(GOOD + f"  - {{{example}, facts: [{{dc_load: {{part: blower}}}}]}}\n")


def test_an_example_may_state_the_class_and_risk_of_its_finding() -> None:
    assert rule_of(GOOD).examples[0].cls is None and rule_of(GOOD).examples[0].risk == ""
    example = graded("verdict: not_known, class: 3, risk: 3A").examples[-1]
    assert (example.cls, example.risk) == (3, Grade(3, 3, "A").risk) == (3, "3A")


@pytest.mark.parametrize(
    ("example", "error"),
    [
        ("verdict: right, class: 3", "examples.2.class: expected no grade where nothing is found, found 'right'"),
        ("verdict: does_not_apply, risk: 3A", "examples.2.risk: expected no grade where nothing is found"),
        ("verdict: wrong, class: grave", "examples.2.class: expected a whole number, found 'grave'"),
        ("verdict: wrong, risk: A3", "examples.2.risk: expected one of 1A, 1B, "),
    ],
)
def test_a_grade_where_there_is_none_or_that_is_none(example: str, error: str) -> None:
    with pytest.raises(Unusable) as caught:
        graded(example)
    assert error in str(caught.value)
