"""Readings of a case: a repeat is of the same thing in the same state, and an instrument is as good as its class."""

import pytest

from ringout.case.load import load_text
from ringout.quantity.span import Choice, Domain, Span
from ringout.text.problem import Unusable

PARTS = "case: the stint van\nparts:\n  b1: {kind: battery}\n  out: {kind: outlet}\nreadings:\n"
FIRST = "  first: {what: current, value: 31 A, of: b1, state: pump running, points: b1-}\n"


def problems(rows: str) -> list[str]:
    try:
        load_text(PARTS + rows, "van.yaml")
    except Unusable as fault:
        return [str(each) for each in fault.problems]
    return []


@pytest.mark.parametrize(
    ("again", "wrong"),
    [
        ("what: current, value: 30 A, repeats: first", ""),
        ("what: current, value: 30 A, of: b1, state: pump running, points: b1-, repeats: first", ""),
        (
            "what: voltage, value: 30 V, repeats: first",
            "7:17: readings.again.what: expected current, as in first, which it repeats, found 'voltage'",
        ),
        (
            "what: current, value: 30 A, of: out, repeats: first",
            "7:43: readings.again.of: expected b1, as in first, which it repeats, found 'out'",
        ),
        (
            "what: current, value: 30 A, state: all off, repeats: first",
            "7:46: readings.again.state: expected pump running, as in first, which it repeats, found 'all off'",
        ),
        (
            "what: current, value: 30 A, points: b1+, repeats: first",
            "7:47: readings.again.points: expected b1-, as in first, which it repeats, found 'b1+'",
        ),
        (
            "what: current, value: 30 A, repeats: again",
            "7:48: readings.again.repeats: expected a reading that does not repeat this one, found 'again'",
        ),
        (
            "what: current, value: 30 A, repeats: fist",
            "7:48: readings.again.repeats: expected the name of a reading, found 'fist'; did you mean 'first'?",
        ),
    ],
)
def test_a_repeat_is_of_the_same_thing_in_the_same_state(again: str, wrong: str) -> None:
    assert problems(f"{FIRST}  again: {{{again}}}\n") == ([f"van.yaml:{wrong}"] if wrong else [])


def test_repeats_that_go_round_have_no_first() -> None:
    rows = "  a: {what: current, value: 1 A, repeats: c}\n  b: {what: current, value: 1 A, repeats: a}\n"
    found = problems(rows + "  c: {what: current, value: 1 A, repeats: b}\n")
    assert len(found) == 3 and all("a reading that does not repeat this one" in each for each in found)


@pytest.mark.parametrize(
    ("row", "domain"),
    [
        ("what: current, value: 50 A, within: 2 %", Span(49.0, 51.0)),
        ("what: current, value: -50 A, within: 2 %", Span(-51.0, -49.0)),
        ("what: current, value: 40..50 A, within: 10 %", Span(36.0, 55.0)),
        ("what: current, value: 50 A, within: unknown", Span(50.0, 50.0)),
        ("what: current, value: 50 A", Span(50.0, 50.0)),
        ("what: polarity, value: right, of: out, within: 2 %", Choice(frozenset({"right"}))),
    ],
)
def test_a_reading_is_as_wide_as_the_class_of_its_instrument(row: str, domain: Domain) -> None:
    [taken] = load_text(f"{PARTS}  r: {{{row}}}\n", "van.yaml").readings
    assert taken.value.domain == domain


def test_a_class_is_a_part_of_the_value() -> None:
    [wrong] = problems("  r: {what: current, value: 50 A, within: 2 A}\n")
    assert wrong.startswith("van.yaml:6:45: readings.r.within: expected a share")
