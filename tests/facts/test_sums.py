"""Currents of one set add up where they meet, within the classes of the instruments."""

import pytest

from ringout.case.load import load_text
from ringout.facts.sums import added, apart

BANK = """\
case: the wader hut
dc_volts: 12 V
parts:
  house: {kind: bank, of: b1 b2}
  b1: {kind: battery}
  b2: {kind: battery}
  bars: {kind: busbars}
  main: {kind: fuse}
  inv: {kind: inverter}
  pump: {kind: dc_load}
  lamps: {kind: dc_load, count: 4}
dc:
  - b1+ = b2+
  - b1- = b2-
  - b1+ = main = bars+
  - b1- = bars-
  - bars = inv
  - bars = pump
readings:
"""


def names(*readings: str, more: str = "", case: str = BANK) -> set[str]:
    rows = []
    for number, reading in enumerate(readings):
        of, _, value = reading.partition(" ")
        rows.append(f"  r{number}: {{what: current, of: {of}, value: {value}, set: pull{more}}}\n")
    made = load_text(case + "".join(rows), "hut.yaml")
    return {taken.reading.of for taken in made.readings if taken.name in apart(made)}


@pytest.mark.parametrize("total", ["100 A", "-100 A", "91 A", "109 A"])
def test_strings_that_make_the_total_are_not_doubted(total: str) -> None:
    assert names(f"house {total}", "b1 60 A", "b2 40 A") == set()


@pytest.mark.parametrize("total", ["60 A", "-60 A", "85 A", "115 A"])
def test_strings_that_do_not_make_the_total_are_apart_with_it(total: str) -> None:
    assert names(f"house {total}", "b1 60 A", "b2 40 A") == {"house", "b1", "b2"}


def test_an_instrument_is_held_to_its_own_class_where_that_is_stated() -> None:
    assert names("house 98 A", "b1 60 A", "b2 40 A", more=", within: 2 %") == set()
    assert names("house 93 A", "b1 60 A", "b2 40 A", more=", within: 2 %") == {"house", "b1", "b2"}
    assert names("house 93 A", "b1 60 A", "b2 40 A") == set()


def test_what_flows_into_a_bar_flows_out_of_it() -> None:
    assert names("house 50 A", "inv 45 A", "pump 5 A") == set()
    assert names("main -50 A", "inv 45 A", "pump 5 A") == set()
    # A charge source may stand behind any branch: 45 A of 40 and 5 as well as 35 A of 40 less 5.
    assert names("house 35 A", "inv 40 A", "pump 5 A") == set()
    assert names("house 50 A", "inv 30 A", "pump 5 A") == {"house", "inv", "pump"}


def test_as_long_as_one_branch_was_not_read_nothing_is_said() -> None:
    assert names("house 50 A", "inv 30 A") == set()
    assert names("b1 60 A", "b2 40 A") == set()


def test_a_string_is_not_the_bank() -> None:
    """Of two strings side by side the lead of the first carries both."""
    assert names("b1 25 A", "inv 45 A", "pump 5 A") == set()


def test_a_bank_with_a_second_lead_may_give_more_than_the_bar_takes() -> None:
    more = BANK.replace("  - bars = pump\n", "  - bars = pump\n  - b2+ = lamps+\n  - bars- = lamps-\n")
    assert names("house 90 A", "inv 45 A", "pump 5 A", case=more) == set()
    assert names("main 90 A", "inv 45 A", "pump 5 A", "bars-~lamps- 4 A", case=more) == {"main", "inv", "pump"}


def test_a_ring_of_fuses_has_no_end_that_could_be_read() -> None:
    ring = """\
case: the wader hut
parts:
  one: {kind: busbars}
  two: {kind: busbars}
  f1: {kind: fuse}
  f2: {kind: fuse}
dc:
  - one+ = f1 = two+
  - one+ = f2 = two+
readings:
"""
    assert names("f1 60 A", "f2 40 A", case=ring) == set()


def test_several_written_as_one_are_not_added_up() -> None:
    more = BANK.replace("  - bars = pump\n", "  - bars = lamps\n")
    assert names("house 50 A", "inv 45 A", "lamps 1 A", case=more) == set()
    assert names("house 50 A", "inv 40 A", "bars~lamps 1 A", case=more) == {"house", "inv", "bars~lamps"}


def test_readings_of_two_instants_are_never_added() -> None:
    made = BANK + (
        "  a: {what: current, of: house, value: 10 A, set: one}\n"
        "  b: {what: current, of: b1, value: 60 A, set: two}\n"
        "  c: {what: current, of: b2, value: 40 A, set: two}\n"
    )
    assert apart(load_text(made, "hut.yaml")) == frozenset()


def test_what_was_added_up_is_told_whether_it_fits_or_not() -> None:
    rows = "".join(
        f"  {of}: {{what: current, of: {of}, value: {value}, set: pull}}\n"
        for of, value in (("house", "100 A"), ("b1", "60 A"), ("b2", "40 A"), ("inv", "7 A"))
    )
    made = load_text(BANK + rows, "hut.yaml")
    assert (added(made), apart(made)) == ({"house", "b1", "b2"}, frozenset())
