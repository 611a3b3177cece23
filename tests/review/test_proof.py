"""Proofs: comparisons read aloud, numbers with their makings, what an answer would make of a verdict."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from ringout.inference.chain import Said, Verdict
from ringout.review.proof import Number, Proof, called, difference, number, proof
from ringout.review.review import Review
from ringout.rulebase.rule import Rule
from ringout.shipped import cases_root

MakeRule = Callable[..., Rule]
Judge = Callable[..., Review]
Only = Callable[[Review], Said]

CASES = sorted(path.stem for path in cases_root().glob("*.yaml"))


def test_a_proof_reads_the_comparison_with_both_sides(rule: MakeRule, judge: Judge, only: Only) -> None:
    when = {"all": [{"lt": ["b.capacity", "120 Ah"]}, {"in": ["b.vent", ["tube", "plugs"]]}]}
    review = judge("b1: {kind: battery, capacity: 100 Ah, vent: tube}", [rule("one", when=when)])
    made = proof(only(review), review.case)
    assert made is not None
    assert (made.rule, made.says, made.verdict) == ("one", "made for a test", "wrong")
    assert made.facts == ("battery(b1)",)
    assert [(line.part, line.says, line.truth) for line in made.lines] == [
        ("when", "capacity of battery b1: 100 Ah, less than 120 Ah", "yes"),
        ("when", "vent of battery b1: tube", "yes"),
    ]
    assert [line.room for line in made.lines] == ["20 Ah beyond it", ""]


def test_given_and_unless_are_told_apart(rule: MakeRule, judge: Judge, only: Only) -> None:
    one = rule("one", given={"eq": ["b.vent", "none"]}, unless={"eq": ["b.box", "sealed"]})
    review = judge("b1: {kind: battery, vent: none, post_covers: none, box: open}", [one])
    made = proof(only(review), review.case)
    assert made is not None
    assert [(line.part, line.truth) for line in made.lines] == [
        ("given", "yes"),
        ("when", "yes"),
        ("unless", "no"),
    ]


def test_a_limit_is_named(reviewed: Callable[[str], Review]) -> None:
    review = reviewed("reed-loop")
    said = next(
        each
        for each in review.chained.said
        if each.rule.name == "loop-empties-the-bank" and each.verdict is Verdict.WRONG
    )
    made = proof(said, review.case)
    assert made is not None
    [line] = [line for line in made.lines if line.limit]
    assert "more than the limit of 1 A" in line.says
    says = r"a drain worth mending at rules/limits/loads\.yaml:\d+:\d+ \[common practice, no source\]"
    assert re.fullmatch(says, line.limit)
    assert [below.rule for below in made.beneath] == ["charger-fed-by-its-own-battery"]


def test_nothing_is_proven_where_nothing_stood_together(rule: MakeRule, judge: Judge, only: Only) -> None:
    partner = {"u": {"fact": "uneven", "where": {"bank": "b.part"}}}
    made = judge("b1: {kind: battery}", [rule("one", with_=partner)])
    said = only(made)
    assert (said.verdict, said.missing) == (Verdict.DOES_NOT_APPLY, "uneven")
    assert proof(said, made.case) is None


def test_an_open_conclusion_is_marked_in_the_facts(rule: MakeRule, judge: Judge) -> None:
    partner = {"u": {"fact": "uneven", "where": {"bank": "b.part"}}}
    rules = [
        rule("cause", concludes={"fact": "uneven", "keys": {"bank": "b.part"}}),
        rule("consequence", with_=partner, when={"eq": ["b.restraint", "none"]}),
    ]
    made = judge("b1: {kind: battery, restraint: none}", rules)
    its = proof(next(each for each in made.chained.said if each.rule.name == "consequence"), made.case)
    assert its is not None
    assert its.facts == ("battery(b1)", "uneven(b1) (not known whether)")
    assert [(below.rule, below.verdict) for below in its.beneath] == [("cause", "not known")]


def test_an_input_says_what_was_stated_and_where(rule: MakeRule, judge: Judge) -> None:
    made = judge(
        "b1: {kind: battery, capacity: 100 Ah (label)}", [rule("one", when={"gt": ["b.capacity", "9 Ah"]})]
    )
    [made_of] = number(made.case.parts["b1"].leaf("capacity")).inputs
    assert (made_of.path, made_of.value, made_of.origin) == ("b1.capacity", "100 Ah", "label")
    assert made_of.spot == "made.yaml:3:33"


def test_an_input_that_nobody_stated_shows_the_range_taken_and_its_source(judge: Judge) -> None:
    made = judge("b1: {kind: battery}", [])
    [made_of] = number(made.case.parts["b1"].leaf("capacity")).inputs
    assert made_of.value.startswith("not known, taken as ")
    assert (made_of.origin, made_of.spot) == ("not stated", "")
    assert made_of.source


def test_a_word_that_nobody_stated_is_not_known(judge: Judge) -> None:
    made = judge("b1: {kind: battery}", [])
    [made_of] = number(made.case.parts["b1"].leaf("vent")).inputs
    assert (made_of.value, made_of.spot) == ("not known", "")


def test_inputs_are_those_that_move_a_number_most_or_would_if_they_were_nudged(
    reviewed: Callable[[str], Review],
) -> None:
    """The bank is lithium iron phosphate by its label: what a table says of other batteries moves nothing."""
    made = reviewed("reed-loop")
    said = next(each for each in made.chained.said if each.rule.name == "inverter-left-on-overnight")
    its = proof(said, made.case)
    assert its is not None
    idle = next(each for each in numbers_of(its) if each.name == "inverter idle current")
    assert [made_of.path for made_of in idle.inputs] == [
        "inverter.idle",
        "tables.loaded_volts.LFP",
        "installation.dc_volts",
    ]


def numbers_of(made: Proof) -> Iterator[Number]:
    for line in made.lines:
        yield from line.numbers
    for below in made.beneath:
        yield from numbers_of(below)


@pytest.mark.parametrize("name", CASES)
def test_every_number_of_every_sample_names_few_inputs_and_counts_the_rest(
    reviewed: Callable[[str], Review], name: str
) -> None:
    seen = 0
    made = reviewed(name)
    for said in made.chained.said:
        its = proof(said, made.case)
        for each in numbers_of(its) if its else ():
            seen += 1
            assert len(each.inputs) <= 3
            assert each.more == 0 or len(each.inputs) == 3
            if each.formula:
                assert each.source, f"{each.name} has a formula without a source"
    assert seen > 20


@pytest.mark.parametrize("name", CASES)
def test_every_place_named_is_where_the_value_was_written(
    reviewed: Callable[[str], Review], name: str
) -> None:
    case = reviewed(name).case
    lines = Path(case.document.file).read_text(encoding="utf-8").splitlines()
    checked = set()
    for said in reviewed(name).chained.said:
        its = proof(said, case)
        for made_of in [each for one in (numbers_of(its) if its else ()) for each in one.inputs]:
            part, _, field = made_of.path.rpartition(".")
            stated = part in case.parts and field in case.parts[part].form.fields
            # One part is one: that count stands nowhere but in the part's own line.
            if made_of.spot and stated and made_of.spot != str(case.parts[part].spot):
                file, row, column = made_of.spot.rsplit(":", 2)
                assert file == case.document.file
                assert lines[int(row) - 1][: int(column) - 1].endswith(f"{field}: "), made_of
                checked.add(made_of.path)
    assert len(checked) > 1


@pytest.mark.parametrize(
    ("capacity", "truth", "room"),
    [
        ("150 Ah", "no", "30 Ah to spare"),
        ("150..160 Ah", "no", "at least 30 Ah to spare"),
        ("90..100 Ah", "yes", "at least 20 Ah beyond it"),
        ("100..140 Ah", "not known", "50 % of that range lies beyond the limit"),
        ("unknown", "not known", ""),
    ],
)
def test_the_room_to_a_limit_is_said(
    rule: MakeRule, judge: Judge, only: Only, capacity: str, truth: str, room: str
) -> None:
    """Of a range that only plausible bounds give no part is told: it would say nothing of this case."""
    one = rule("one", when={"lt": ["b.capacity", "120 Ah"]})
    review = judge(f"b1: {{kind: battery, capacity: {capacity}}}", [one])
    made = proof(only(review), review.case)
    assert made is not None
    assert [(line.truth, line.room) for line in made.lines] == [(truth, room)]


def test_words_say_what_they_are_not(rule: MakeRule, judge: Judge, only: Only) -> None:
    review = judge("b1: {kind: battery, post_covers: both}", [rule("one")])
    made = proof(only(review), review.case)
    assert made is not None
    assert [line.says for line in made.lines] == ["post covers of battery b1: both, not none"]


def test_what_is_only_assumed_is_called_so(rule: MakeRule, judge: Judge, only: Only) -> None:
    review = judge("b1: {kind: battery, post_covers: none (assumed)}", [rule("one")])
    made = proof(only(review), review.case)
    assert made is not None
    assert made.lines[0].says == "post covers of battery b1: none only assumed; the question is whether it is none"
    [made_of] = made.lines[0].numbers[0].inputs
    assert made_of.value == "none is only assumed"
    assert made_of.spot


@pytest.mark.parametrize(
    ("gap", "dimension", "words"),
    [(0.0198, "ratio", "1.98 percentage points"), (5.0, "temperature", "5 K"), (0.42, "voltage", "0.42 V")],
)
def test_a_difference_is_in_units_of_a_difference(gap: float, dimension: str, words: str) -> None:
    assert difference(gap, dimension) == words


def test_a_table_of_limits_shows_only_those_of_the_case(reviewed: Callable[[str], Review]) -> None:
    made = reviewed("crake")
    said = next(each for each in made.chained.said if each.rule.name == "absorption-too-high")
    its = proof(said, made.case)
    assert its is not None
    [line] = [line for line in its.lines if line.limit]
    assert "for AGM at rules/limits/charge_profile.yaml" in line.limit
    limit = line.numbers[-1]
    assert [each.path for each in limit.inputs if each.origin == "table"] == ["limits.absorption_most.AGM"]


def test_values_are_called_in_plain_words(judge: Judge) -> None:
    case = judge("b1: {kind: battery}\nfan: {kind: dc_load}", []).case
    assert called(case.parts["b1"].leaf("post_covers"), case) == "post covers of battery b1"
    assert called(case.habits.leaf("nights_away"), case) == "nights away"
    assert called(case.looked("fuse"), case) == "every fuse looked for"
