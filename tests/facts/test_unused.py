"""Readings that nothing was made of are named with the reason."""

import pytest

from ringout.case.load import load_text
from ringout.facts.gather import gather
from ringout.facts.unused import KINDS, told, unused

CASE = """\
case: the reed barge
parts:
  b1: {{kind: battery, chemistry: LFP, nominal: 24 V, capacity: 150 Ah}}
  inv: {{kind: inverter, efficiency: 92 %, idle: 20 W}}
  chg: {{kind: mains_charger, efficiency: 92 %}}
readings:
  r: {{{reading}}}
{more}"""


def why(reading: str, more: str = "") -> dict[str, str]:
    case = load_text(CASE.format(reading=reading, more=more), "barge.yaml")
    return unused(case, gather(case))


@pytest.mark.parametrize(
    "reading",
    [
        "what: current, value: 2 A, of: b1, state: everything off",
        "what: capacity, value: 80 Ah, of: b1",
        "what: drop, value: 0.4 V, of: chg",
        "what: drop, value: 0.4 V, of: chg, set: noon",
    ],
)
def test_a_reading_that_a_fact_rests_on_is_used(reading: str) -> None:
    assert why(reading) == {}


@pytest.mark.parametrize(
    ("reading", "reason"),
    [
        ("what: current, value: 2 A, of: b1, state: all asleep", KINDS["current"]),
        ("what: current, value: 2 A", KINDS["current"]),
        ("what: voltage, value: 25 V, of: b1", KINDS["voltage"]),
        ("what: drop, value: 0.4 V", KINDS["drop"]),
        ("what: capacity, value: 80 Ah", KINDS["capacity"]),
        ("what: temperature, value: 40 C, of: chg", "nothing is made of temperature yet"),
        ("what: current, value: 2 A, of: b1, state: everything off, round: left", "taken as left"),
        ("what: current, value: 2 A, of: b1, state: everything off, round: trial", "taken in a trial"),
    ],
)
def test_a_reading_that_nothing_was_made_of_is_named_with_the_reason(reading: str, reason: str) -> None:
    assert why(reading) == {"r": reason}


def test_a_reading_after_the_first_change_is_not_of_the_case_as_found() -> None:
    reading = 'what: current, value: 2 A, of: b1, state: everything off, at: "2026-05-03 11:00"'
    assert why(reading, 'changed: [{at: "2026-05-03 10:00", what: a fuse}]') == {"r": "taken after the first change"}


def test_a_repeat_of_what_was_used_is_used_too() -> None:
    again = "  again: {what: current, value: 2 A, of: b1, repeats: r}\n"
    assert why("what: current, value: 2 A, of: b1, state: everything off", again) == {}


def test_volts_of_nought_are_named() -> None:
    more = "".join(
        f"  {name}: {{what: {what}, value: {value}, of: {of}, set: noon, state: away}}\n"
        for name, what, value, of in (
            ("into", "current", "31 A", "inv"),
            ("back", "current", "18 A", "chg"),
            ("volts", "voltage", "25.4 V", "inv"),
        )
    )
    assert why("what: voltage, value: 0 V, of: chg, set: noon", more) == {"r": KINDS["voltage"]}


def test_what_was_not_used_is_told_by_reason() -> None:
    assert told({"a_b": "one", "c": "two", "d": "one"}) == "a b, d (one); c (two)"
    assert told({}) == ""
