"""Names of parts inside a case, and what parts declared alike have in common."""

import pytest

from ringout.case.case import Case
from ringout.case.form import form
from ringout.case.load import load_text
from ringout.case.references import OF_THE_MAKE
from ringout.quantity.span import Choice, Span
from ringout.text.problem import Unusable


def case(parts: str, rest: str = "") -> Case:
    return load_text(f"case: the hide\nparts:\n{parts}{rest}", "c.yaml")


def two_batteries(one: str = "", other: str = "", rest: str = "alike: [b1 b2]\n") -> Case:
    parts = "".join(f"  {name}: {{kind: battery{more}}}\n" for name, more in (("b1", one), ("b2", other)))
    return case(parts, rest)


def refused(parts: str, rest: str = "") -> list[str]:
    with pytest.raises(Unusable) as caught:
        case(parts, rest)
    return str(caught.value).splitlines()


def test_alike_parts_share_one_leaf_for_what_their_make_tells() -> None:
    its = two_batteries(", internal: 2..5 mohm (manual)").parts
    assert its["b2"].leaf("internal") is its["b1"].leaf("internal")
    assert its["b2"].leaf("internal").domain == Span(0.002, 0.005)


def test_also_for_what_nobody_knows_of_any_of_them() -> None:
    its = two_batteries().parts
    assert its["b2"].leaf("capacity") is its["b1"].leaf("capacity")
    assert not its["b1"].leaf("capacity").known


def test_what_was_stated_of_the_later_one_holds_for_the_earlier() -> None:
    assert two_batteries("", ", chemistry: LFP").parts["b1"].word("chemistry") == "LFP"
    suspected = two_batteries("", ", chemistry: LFP (assumed)").parts["b1"].leaf("chemistry")
    assert suspected.hint == Choice(frozenset({"LFP"}))


@pytest.mark.parametrize("field", ["main_fuse", "post_covers", "battery_signs", "status", "heat"])
def test_what_was_seen_of_one_says_nothing_of_the_other(field: str) -> None:
    word = form("battery").fields[field].options[0]
    its = two_batteries(f", {field}: {word}").parts
    assert its["b1"].leaf(field).known
    assert not its["b2"].leaf(field).known
    assert its["b2"].leaf(field).path == f"b2.{field}"


def test_alike_parts_may_differ_in_what_was_seen() -> None:
    its = two_batteries(", battery_signs: swollen", ", battery_signs: none").parts
    assert (its["b1"].word("battery_signs"), its["b2"].word("battery_signs")) == ("swollen", "none")


def test_how_many_each_stands_for_is_never_shared() -> None:
    its = two_batteries(", count: 3").parts
    assert (its["b1"].leaf("count").domain, its["b2"].leaf("count").domain) == (Span(3, 3), Span(1, 1))
    assert form("battery").fields["count"].where not in OF_THE_MAKE


def test_parts_that_differ_in_their_label_are_not_alike() -> None:
    with pytest.raises(Unusable) as caught:
        two_batteries(", capacity: 100 Ah (label)", ", capacity: 120 Ah (said)")
    assert str(caught.value) == (
        "c.yaml:5:9: alike.1: expected the same capacity in parts that are alike, "
        "found 'b1 100 Ah (label) and b2 120 Ah (said)'"
    )


@pytest.mark.parametrize("rest", ["alike: [b1, b2]\n", "alike: [b1 b1]\n", "alike:\n  - [b1]\n"])
def test_one_part_is_not_alike_by_itself(rest: str) -> None:
    with pytest.raises(Unusable, match="expected two parts or more"):
        two_batteries(rest=rest)


def test_a_name_that_no_part_has_is_told_at_its_own_place() -> None:
    assert refused("  b1: {kind: battery}\n  bank: {kind: bank, of: b1 b3}\n", "alike:\n  - b1 b2\n") == [
        "c.yaml:4:29: parts.bank.of: expected the name of a part, found 'b3'",
        "c.yaml:6:8: alike.1: expected the name of a part, found 'b2'",
    ]


def test_a_part_of_another_kind_is_not_what_was_meant() -> None:
    assert refused("  s1: {kind: fuse}\n  mon: {kind: monitor, watches: s1}\n") == [
        "c.yaml:4:33: parts.mon.watches: expected the name of a part of kind shunt, not fuse, found 's1'"
    ]


def test_a_part_that_could_not_be_read_is_not_also_called_missing() -> None:
    found = refused("  b1: {kind: batery}\n  bank: {kind: bank, of: b1}\n", "alike:\n  - b1 bank\n")
    assert len(found) == 1
    assert "parts.b1.kind" in found[0]


def test_any_kind_will_do_where_the_form_says_so() -> None:
    its = case("  box: {kind: board}\n  f: {kind: fuse, inside: box}\n").parts
    assert its["f"].names["inside"] == ("box",)
