"""Proofs: comparisons read aloud, numbers with their makings, what an answer would make of a verdict."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from ringout.inference.chain import Said, Verdict
from ringout.review.proof import Number, Outcome, Proof, number, outcomes, proof
from ringout.review.review import Review
from ringout.rulebase.rule import Rule
from ringout.shipped import cases_root

MakeRule = Callable[..., Rule]
Judge = Callable[..., Review]

CASES = sorted(path.stem for path in cases_root().glob("*.yaml"))


def only(made: Review) -> Said:
    [said] = made.chained.said
    return said


def test_a_proof_reads_the_comparison_with_both_sides(rule: MakeRule, judge: Judge) -> None:
    when = {"all": [{"lt": ["b.capacity", "120 Ah"]}, {"in": ["b.vent", ["tube", "plugs"]]}]}
    made = proof(only(judge("b1: {kind: battery, capacity: 100 Ah, vent: tube}", [rule("one", when=when)])))
    assert made is not None
    assert (made.rule, made.says, made.verdict) == ("one", "made for a test", "wrong")
    assert made.facts == ("battery(b1)",)
    assert [(line.part, line.says, line.truth) for line in made.lines] == [
        ("when", "capacity of battery(b1) less than 120 Ah: it is 100 Ah", "yes"),
        ("when", "vent of battery(b1) is one of plugs or tube: it is tube", "yes"),
    ]


def test_given_and_unless_are_told_apart(rule: MakeRule, judge: Judge) -> None:
    one = rule("one", given={"eq": ["b.vent", "none"]}, unless={"eq": ["b.box", "sealed"]})
    made = proof(only(judge("b1: {kind: battery, vent: none, post_covers: none, box: open}", [one])))
    assert made is not None
    assert [(line.part, line.truth) for line in made.lines] == [
        ("given", "yes"),
        ("when", "yes"),
        ("unless", "no"),
    ]


def test_a_limit_is_named(reviewed: Callable[[str], Review]) -> None:
    said = next(
        each
        for each in reviewed("reed-loop").chained.said
        if each.rule.name == "loop-empties-the-bank" and each.verdict is Verdict.WRONG
    )
    made = proof(said)
    assert made is not None
    assert any("(limit notable_drain)" in line.says for line in made.lines)
    assert [below.rule for below in made.beneath] == ["charger-fed-by-its-own-battery"]


def test_nothing_is_proven_where_nothing_stood_together(rule: MakeRule, judge: Judge) -> None:
    partner = {"u": {"fact": "uneven", "where": {"bank": "b.part"}}}
    said = only(judge("b1: {kind: battery}", [rule("one", with_=partner)]))
    assert (said.verdict, said.missing) == (Verdict.DOES_NOT_APPLY, "uneven")
    assert proof(said) is None
    assert outcomes(said) == ()


def test_an_open_conclusion_is_marked_in_the_facts(rule: MakeRule, judge: Judge) -> None:
    partner = {"u": {"fact": "uneven", "where": {"bank": "b.part"}}}
    rules = [
        rule("cause", concludes={"fact": "uneven", "keys": {"bank": "b.part"}}),
        rule("consequence", with_=partner, when={"eq": ["b.restraint", "none"]}),
    ]
    made = judge("b1: {kind: battery, restraint: none}", rules)
    its = proof(next(each for each in made.chained.said if each.rule.name == "consequence"))
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


def test_inputs_are_those_that_move_a_number_most_and_then_those_of_the_case(
    reviewed: Callable[[str], Review],
) -> None:
    """The bank is lithium iron phosphate by its label: what a table says of other batteries moves nothing."""
    said = next(
        each for each in reviewed("reed-loop").chained.said if each.rule.name == "inverter-left-on-overnight"
    )
    its = proof(said)
    assert its is not None
    idle = next(each for each in numbers_of(its) if each.name == "inverter idle current")
    assert [made_of.path for made_of in idle.inputs] == [
        "inverter.idle",
        "tables.loaded_volts.LFP",
        "house.chemistry",
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
    for said in reviewed(name).chained.said:
        its = proof(said)
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
        its = proof(said)
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


def test_what_each_answer_alone_would_make_of_it(rule: MakeRule, judge: Judge) -> None:
    said = only(judge("b1: {kind: battery}", [rule("one")]))
    assert outcomes(said) == (
        Outcome("b1.post_covers", "both", "right"),
        Outcome("b1.post_covers", "none", "wrong"),
        Outcome("b1.post_covers", "one", "right"),
    )


def test_an_answer_that_settles_nothing_alone_says_so(rule: MakeRule, judge: Judge) -> None:
    when = {"all": [{"eq": ["b.post_covers", "none"]}, {"eq": ["b.restraint", "none"]}]}
    said = only(judge("b1: {kind: battery}", [rule("one", when=when)]))
    alone = {(each.path, each.answer): each.verdict for each in outcomes(said)}
    assert alone["b1.post_covers", "none"] == "not known"
    assert alone["b1.post_covers", "both"] == "right"


def test_nothing_more_is_asked_of_a_settled_verdict(rule: MakeRule, judge: Judge) -> None:
    assert outcomes(only(judge("b1: {kind: battery, post_covers: none}", [rule("one")]))) == ()
