"""The examples that a rule carries: facts written out become facts, and bad ones are named."""

import pytest

from ringout.facts.catalogue import catalogue
from ringout.inference import durable
from ringout.inference.chain import MakeMatcher, Said, Verdict
from ringout.inference.durable import DurableMatcher
from ringout.inference.examples import BadExample, run
from ringout.inference.plain import PlainMatcher
from ringout.quantity.leaf import Origin
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import domain_of
from ringout.rulebase.rule import Rule
from ringout.rulebase.rulefile import read_rule
from ringout.text.document import read_text

RULE = """\
rule: deep
title: A load takes more than its bank gives
area: loads
says: s
looks_at: {load: dc_load}
with:
  bank: {fact: bank, where: {part: load.part}}
given: {in: [bank.chemistry, [AGM, gel]]}
when: {all: [{gt: [load.current, bank.max_discharge]}, {ge: [bank.strings, 2]}]}
concludes: {fact: overnight_drain, keys: {bank: bank.part, cause: load.part}}
sources: [none]
examples:
  - verdict: wrong
    says: as written
    facts:
"""


def rule_of(*facts: str) -> Rule:
    lines = "".join(f"      - {fact}\n" for fact in facts) if facts else "      []\n"
    return read_rule(read_text(RULE + lines, "deep.yaml"))


def said(*facts: str) -> Said:
    rule = rule_of(*facts)
    return run(rule, rule.examples[0], PlainMatcher)


LOAD = "dc_load: {part: x, current: 100 A}"
BANK = "bank: {part: x, chemistry: AGM, max_discharge: 60..80 A, strings: 2}"


def test_facts_get_the_verdict_of_the_rule() -> None:
    assert said(LOAD, BANK).verdict is Verdict.WRONG
    assert said(LOAD, BANK.replace("60..80 A", "120 A")).verdict is Verdict.RIGHT
    assert said(LOAD, BANK.replace("60..80 A", "60..120 A")).verdict is Verdict.NOT_KNOWN
    assert said(LOAD, BANK.replace("AGM", "LFP")).verdict is Verdict.DOES_NOT_APPLY
    assert said(LOAD).verdict is Verdict.DOES_NOT_APPLY


@pytest.mark.parametrize(
    "bank", [BANK.replace(", max_discharge: 60..80 A", ""), BANK.replace("60..80 A", "unknown")]
)
def test_what_is_left_out_or_unknown_is_not_known(bank: str) -> None:
    found = said(LOAD, bank)
    assert found.verdict is Verdict.NOT_KNOWN
    assert found.step is not None
    assert [leaf.path for leaf in found.step.needs] == ["bank(x).max_discharge"]


def test_words_may_be_several() -> None:
    assert said(LOAD, BANK.replace("AGM", "AGM | gel")).verdict is Verdict.WRONG
    assert said(LOAD, BANK.replace("AGM", "AGM | LFP")).verdict is Verdict.NOT_KNOWN


def test_counts_are_whole_numbers_or_ranges_of_them() -> None:
    assert said(LOAD, BANK.replace("strings: 2", "strings: 1")).verdict is Verdict.RIGHT
    assert said(LOAD, BANK.replace("strings: 2", "strings: 1..2")).verdict is Verdict.NOT_KNOWN


def test_leaves_of_an_example_say_whether_they_were_given() -> None:
    step = said(LOAD, BANK.replace(", strings: 2", "")).step
    assert step is not None
    values = step.binding["bank"].fact.values
    assert set(values) == set(catalogue()["bank"].attributes)
    given, open_one = values["max_discharge"], values["strings"]
    assert domain_of(given) == Span(60.0, 80.0)
    assert getattr(given, "origin", None) is Origin.SEEN
    assert getattr(open_one, "origin", None) is Origin.NOT_STATED
    assert domain_of(values["joined"]) == Choice(frozenset({"yes", "no"}))


def test_a_concluded_fact_may_be_unsure() -> None:
    text = RULE.replace(
        "bank: {fact: bank, where: {part: load.part}}", "bank: {fact: uneven, where: {bank: load.part}}"
    )
    start, end = text.index("given:"), text.index("concludes:")
    text = text[:start] + text[end:].replace("bank: bank.part", "bank: bank.bank")
    for more, verdict in (("", Verdict.WRONG), (", sure: no", Verdict.NOT_KNOWN)):
        facts = f"      - {LOAD}\n      - uneven: {{bank: x{more}}}\n"
        rule = read_rule(read_text(text + facts, "deep.yaml"))
        assert run(rule, rule.examples[0], PlainMatcher).verdict is verdict


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ((), "deep: 'as written' holds no facts"),
        ((BANK, LOAD), "deep: 'as written' holds no dc_load as its first fact"),
        ((LOAD, BANK.replace("AGM", "AGMM")), "chemistry: expected flooded, .*, found 'AGMM'"),
        ((LOAD, BANK.replace("80 A", "80 V")), "max_discharge: "),
        (
            (LOAD, BANK.replace("strings: 2", "strings: two")),
            "strings: expected a whole number, .*, found 'two'",
        ),
        (
            (LOAD, BANK.replace("strings: 2", "strings: 3..2")),
            "strings: expected a whole number, .*, found '3..2'",
        ),
    ],
)
def test_a_bad_example_is_named(facts: tuple[str, ...], expected: str) -> None:
    with pytest.raises(BadExample, match=expected):
        said(*facts)


def test_every_engine_gives_the_same() -> None:
    rule = rule_of(LOAD, BANK)
    engines: list[MakeMatcher] = [PlainMatcher, DurableMatcher] if durable.available() else [PlainMatcher]
    assert {run(rule, rule.examples[0], engine).verdict for engine in engines} == {Verdict.WRONG}
