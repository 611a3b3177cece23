"""The case as the rest of the program sees it."""

import pytest

from ringout.case.case import Case, there
from ringout.case.load import load_text
from ringout.quantity.leaf import Origin
from ringout.quantity.span import Choice, Span
from ringout.text.problem import Spot

TEXT = """\
case: the punt
complaints:
  flat: {says: flat at dawn, symptom: flat_by_morning}
looked_for: {fuse: some}
parts:
  b1: {kind: battery, chemistry: LFP or AGM, bms: inside}
  inv: {kind: inverter}
  both: {kind: inverter_charger, supposed: yes}
"""


@pytest.fixture(scope="module")
def case() -> Case:
    return load_text(TEXT, "c.yaml")


def test_a_case_gives_what_its_frame_says(case: Case) -> None:
    assert case.title == "the punt"
    assert case.complaints["flat"].symptom == "flat_by_morning"


def test_parts_are_found_by_what_they_do_in_the_order_written(case: Case) -> None:
    assert [part.name for part in case.with_role("inverter")] == ["inv", "both"]
    assert [part.name for part in case.with_role("storage", "charger")] == ["b1", "both"]
    assert case.parts["both"].acts_as("inverter", "storage")
    assert not case.parts["b1"].acts_as("inverter")


def test_a_field_nobody_mentioned_is_one_open_leaf(case: Case) -> None:
    leaf = case.parts["b1"].leaf("capacity")
    assert (leaf.path, leaf.domain, leaf.known) == ("b1.capacity", Span(1, 3000), False)
    assert leaf.spot == case.parts["b1"].spot
    assert case.parts["b1"].leaf("capacity") is leaf


def test_a_field_that_there_is_not_is_a_key_error(case: Case) -> None:
    with pytest.raises(KeyError):
        case.parts["b1"].leaf("wingspan")
    with pytest.raises(LookupError):
        case.parts["b1"].leaf("note")


def test_a_word_is_told_only_where_one_is_left(case: Case) -> None:
    assert case.parts["b1"].word("bms") == "inside"
    assert case.parts["b1"].word("chemistry") is None
    assert case.parts["b1"].word("capacity") is None


def test_how_completely_a_kind_was_looked_for(case: Case) -> None:
    assert case.looked("fuse").domain == Choice(frozenset({"some"}))
    never = case.looked("rcd")
    assert (never.known, never.settled, never.spot) == (False, False, Spot("c.yaml", 4, 13))
    assert case.looked("rcd") is never


def test_a_supposed_part_may_not_be_there(case: Case) -> None:
    seen, supposed = case.parts["b1"].there, case.parts["both"].there
    assert (seen.domain, seen.known) == (Choice(frozenset({"yes"})), True)
    assert (supposed.domain, supposed.known) == (Choice(frozenset({"yes", "no"})), False)
    assert supposed.hint == Choice(frozenset({"yes"}))
    assert there("x", Spot("c.yaml", 1, 1), supposed=True).origin is Origin.SUPPOSED


def test_what_is_out_of_use_or_only_supposed_guards_nothing() -> None:
    rows = "case: c\nparts:\n  a: {kind: fuse}\n  b: {kind: fuse, status: in_use}\n"
    rows += "  c: {kind: fuse, status: bypassed}\n"
    parts = load_text(rows + "  d: {kind: fuse, supposed: yes}\n", "c.yaml").parts
    assert [name for name, part in parts.items() if part.guards] == ["a", "b"]


def test_a_region_that_nobody_named_is_open(case: Case) -> None:
    assert not case.region.known and case.region.origin is Origin.NOT_STATED
    assert isinstance(case.region.domain, Choice) and {"AU", "US", "other"} < case.region.domain.options
    named = load_text("case: c\nregion: NZ\n", "c.yaml").region
    assert (named.known, named.domain, named.spot) == (True, Choice(frozenset({"NZ"})), Spot("c.yaml", 2, 9))
