"""Operations on a case: each alone, several at once, and none by half."""

from collections.abc import Callable

import pytest

from ringout.case.case import Case
from ringout.plan.operations import (
    AddFeed,
    AddPart,
    AddRun,
    MoveFeed,
    Operation,
    RemoveFeed,
    RemovePart,
    RemoveRun,
    RemoveStatement,
    Set,
    apply,
    replaced,
)
from ringout.plan.written import Unfit
from ringout.text.problem import Unusable

Differs = Callable[[Case, Case], list[str]]


@pytest.mark.parametrize(
    ("operation", "lines"),
    [
        (Set({"bars.cover": "yes"}), ["-   bars: {kind: busbars}", "+   bars: {kind: busbars, cover: yes}"]),
        (Set({"mains.rcd": "no (said)"}), ["+ mains:", "+   rcd: no (said)"]),
        (Set({"installation.ac_volts": "230 V"}), ["+ ac_volts: 230 V"]),
        (
            Set({"bars.place": "bench, left"}),
            ["-   bars: {kind: busbars}", '+   bars: {kind: busbars, place: "bench, left"}'],
        ),
        (AddPart("f1", {"kind": "isolator", "rating": "20 A"}), ["+   f1: {kind: isolator, rating: 20 A}"]),
        (AddRun("bars = charger", "10 mm2", "2 m"), ["+   - bars = charger : 10 mm2, 2 m"]),
        (AddRun("bars = charger"), ["+   - bars = charger"]),
        (AddFeed("inverter > kettle"), ["+   - inverter > kettle"]),
        (
            RemoveFeed("charger"),
            ["-   - inlet > board > bench_outlet, charger", "+   - inlet > board > bench_outlet"],
        ),
        (
            RemoveStatement("distances.controller to b1"),
            [
                "- distances: {controller to b1: 6 m, b1 to gas_bottle: 2 m}",
                "+ distances: {b1 to gas_bottle: 2 m}",
            ],
        ),
    ],
)
def test_an_operation_changes_its_own_lines_and_no_other(
    hide: Case, differs: Differs, operation: Operation, lines: list[str]
) -> None:
    assert differs(hide, apply(hide, [operation])) == lines


def test_a_moved_feed_leaves_one_source_and_takes_the_other(hide: Case) -> None:
    made = apply(hide, [MoveFeed("charger", "inlet")])
    assert made.frame.ac == ["inlet > board > bench_outlet", "inlet > charger"]


def test_a_part_goes_with_the_runs_that_name_it(hide: Case) -> None:
    with pytest.raises(Unusable, match="the name of a part, found 'bars'"):
        apply(hide, [RemovePart("bars")])
    made = apply(hide, [RemovePart("bars"), RemoveRun("b1~bars"), RemoveRun("b1-~bars-")])
    assert "bars" not in made.parts
    assert made.hops.keys() == hide.hops.keys() - {"b1~bars", "b1-~bars-"}


def test_operations_address_the_case_as_it_was(hide: Case) -> None:
    operations = [
        RemoveRun("b1~bars"),
        AddPart("f1", {"kind": "fuse"}),
        AddRun("b1+ = f1 = bars+", "35 mm2", "0.1 m, 0.5 m"),
        Set({"b1-~bars-.size": "50 mm2"}),
    ]
    for order in (operations, operations[::-1]):
        made = apply(hide, order)
        assert {"b1+~f1", "f1~bars+", "b1-~bars-"} <= made.hops.keys()
        assert made.hops["b1-~bars-"].size.text == "50 mm2"


def test_a_new_part_of_a_kind_of_which_none_was_seen_is_all_there_is(hide: Case) -> None:
    made = apply(hide, [AddPart("f1", {"kind": "fuse"}), AddPart("r1", {"kind": "rcbo"})])
    looked_for = {"fuse": "all", "breaker": "none seen", "rcd": "none seen", "rcbo": "all (said)"}
    assert made.frame.looked_for == looked_for


def test_a_statement_written_with_names_is_set_as_such(hide: Case) -> None:
    stated = {"is": "14.2 V", "from": "display", "at": "10:40"}
    made = apply(hide, [Set({"charger.absorption": stated})])
    assert made.parts["charger"].leaf("absorption").at == "10:40"


@pytest.mark.parametrize(
    ("operation", "why"),
    [
        (Set({"kite.rating": "1 A"}), "there is neither a part, a run nor a place kite"),
        (Set({"b1~bars.lugg": "crimped"}), "a run has no lugg"),
        (AddPart("bars", {"kind": "busbars"}), "there is a part bars already"),
        (RemovePart("kite"), "there is no part kite"),
        (RemoveRun("b1~kite"), "there is no run b1~kite"),
        (RemoveFeed("panel"), "nothing is written that feeds panel"),
        (RemoveStatement("b1.serial"), r"there is no parts\.b1\.serial"),
        (MoveFeed("panel", "inlet"), "nothing is written that feeds panel"),
    ],
)
def test_what_does_not_fit_the_case_is_refused(hide: Case, operation: Operation, why: str) -> None:
    with pytest.raises(Unfit, match=why):
        apply(hide, [operation])


def test_a_run_is_not_changed_and_removed_at_once(hide: Case) -> None:
    with pytest.raises(Unfit, match="b1~bars is to be changed and to be removed"):
        apply(hide, [RemoveRun("b1~bars"), Set({"b1~bars.size": "50 mm2"})])


def test_a_value_that_no_case_may_hold_is_refused_with_its_line(hide: Case) -> None:
    with pytest.raises(Unusable, match=r"hide\.yaml \(trial\):\d+:\d+: parts\.charger\.absorption: expected"):
        apply(hide, [Set({"charger.absorption": "fourteen"})], "trial")


def test_a_proposed_case_says_so_in_its_title_and_the_given_one_is_untouched(hide: Case) -> None:
    before = hide.document.text
    assert apply(hide, [], "trial").title == "The hide at the reed beds (trial)"
    assert apply(hide, []).document.text == before == hide.document.text


def test_what_was_changed_is_told_for_the_sake_of_what_was_read_before(hide: Case) -> None:
    one = apply(hide, [Set({"b1.capacity": "90 Ah", "b1~bars.size": "50 mm2"}), AddPart("f1", {"kind": "fuse"})])
    assert one.since == {"b1.capacity", "b1~bars", "b1+~bars+", "f1"}
    two = apply(one, [RemoveRun("b1~charger"), AddRun("bars = charger", "10 mm2", "2 m")])
    assert two.since == one.since | {"b1~charger", "bars~charger", "bars-~charger-"}
    assert hide.since == frozenset()


def test_a_new_part_says_whose_place_it_takes() -> None:
    assert replaced([AddPart("f2", {"kind": "fuse"}, "f1"), AddPart("f3", {"kind": "fuse"})]) == {"f2": "f1"}
