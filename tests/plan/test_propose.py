"""A remedy fitted to a finding: names, choices, operations."""

from collections.abc import Callable

import pytest

from ringout.case.case import Case
from ringout.case.load import load_text
from ringout.plan.operations import AddFeed, AddPart, AddRun, MoveFeed, RemoveRun, RemoveStatement, Set, apply
from ringout.plan.propose import bindings, proposals
from ringout.plan.remedy import Remedy, remedies
from ringout.plan.written import Unfit
from ringout.review.finding import Finding
from ringout.review.review import Review, review

Found = Callable[[Review, str], Finding]


def shipped(name: str) -> Remedy:
    return next(each for each in remedies() if each.remedy == name)


def test_a_charger_gets_a_circuit_of_its_own(heron: Case, reviewed_heron: Review, found: Found) -> None:
    finding = found(reviewed_heron, "charger-fed-by-its-own-battery")
    (made,) = proposals(heron, finding, shipped("charger-ahead-of-the-changeover"))
    assert made.operations == (
        AddPart("charger_breaker", {"kind": "rcbo", "trip": "30 mA", "breaks": "L_N"}),
        AddFeed("inlet > charger_breaker"),
        MoveFeed("charger", "charger_breaker"),
    )


def test_a_value_is_tried_after_the_other_unless_one_is_chosen(
    heron: Case, reviewed_heron: Review, found: Found
) -> None:
    finding = found(reviewed_heron, "inverter-far-from-its-battery")
    remedy = shipped("thicker-inverter-lead")
    tried = list(proposals(heron, finding, remedy))
    assert [each.chosen["size"] for each in tried] == remedy.ask["size"].values
    (made,) = proposals(heron, finding, remedy, {"size": "150 mm2"})
    runs = ("inverter_fuse~inverter", "bars~inverter_fuse", "bars-~inverter-")
    assert made.operations == (Set({f"{run}.size": "150 mm2" for run in runs}),)


def test_a_change_is_made_for_each_thing_found_and_left_out_where_there_is_none(
    hide: Case, found: Found
) -> None:
    finding = found(review(hide, "plain"), "controller-far-from-its-battery")
    (made,) = proposals(hide, finding, shipped("controller-beside-the-bank"), {"size": "10 mm2"})
    assert RemoveStatement("distances.controller to b1") in made.operations
    (values,) = (each.values for each in made.operations if isinstance(each, Set))
    assert values["controller.place"] == "bench"
    bare = load_text(
        hide.document.text.replace(", place: bench", "").replace("controller to b1: 6 m, ", ""), "bare"
    )
    finding = found(review(bare, "plain"), "controller-far-from-its-battery")
    (made,) = proposals(bare, finding, shipped("controller-beside-the-bank"), {"size": "10 mm2"})
    (values,) = (each.values for each in made.operations)
    assert "controller.place" not in values


def test_the_new_lead_keeps_what_is_known_of_the_old(
    heron: Case, reviewed_heron: Review, found: Found
) -> None:
    finding = found(reviewed_heron, "both-leads-on-one-battery")
    (made,) = proposals(heron, finding, shipped("leads-from-opposite-ends"), {"length": "0.9 m"})
    assert made.operations == (
        RemoveRun("b1-~shunt"),
        AddRun("b3- = shunt.in", "50 mm2 (label)", "0.9 m"),
    )


@pytest.mark.parametrize(
    ("chemistry", "volts", "wanted"),
    # Middle of the usual range: lithium iron phosphate 14.2 to 14.6 V (four public pages, no year); AGM 14.2
    # to 14.8 V, gel 13.8 to 14.4 V (common practice, no source); twice that at 24 V.
    [
        ("LFP", "12 V", "14.4 V"),
        ("AGM", "12 V", "14.5 V"),
        ("gel", "12 V", "14.1 V"),
        ("LFP", "24 V", "28.8 V"),
    ],
)
def test_the_voltage_is_that_of_the_type_at_the_banks_own_volts(
    hide: Case, found: Found, chemistry: str, volts: str, wanted: str
) -> None:
    text = (
        hide.document.text.replace("LFP (label)", chemistry)
        .replace("12 V", volts)
        .replace("15.2 V", "31.0 V")
    )
    case = load_text(text, "hide.yaml")
    finding = found(review(case, "plain"), "absorption-too-high")
    (made,) = proposals(case, finding, shipped("charge-set-for-the-type"))
    (values,) = (each.values for each in made.operations if isinstance(each, Set))
    assert values == {"charger.profile": chemistry, "charger.absorption": wanted}


def test_a_type_of_which_only_its_maker_knows_is_left_to_the_maker(hide: Case, found: Found) -> None:
    text = hide.document.text.replace("LFP (label)", "lithium_other").replace("15.2 V", "18.0 V")
    case = load_text(text, "hide.yaml")
    finding = found(review(case, "plain"), "absorption-too-high")
    with pytest.raises(Unfit, match="for lithium other only the battery maker's sheet gives the voltage"):
        list(proposals(case, finding, shipped("charge-set-for-the-type")))


def test_a_type_that_nobody_read_is_not_guessed(hide: Case, found: Found) -> None:
    text = hide.document.text.replace("LFP (label)", "LFP | AGM")
    finding = found(review(load_text(text, "hide.yaml"), "plain"), "absorption-too-high")
    with pytest.raises(Unfit, match="the chemistry of b1 is not known yet"):
        bindings(finding, {"type": "bank.chemistry"})


def test_a_chosen_thing_is_one_of_those_found(hide: Case, found: Found) -> None:
    finding = found(review(hide, "plain"), "main-fuse-missing")
    remedy = shipped("fuse-in-every-lead")
    (made,) = proposals(hide, finding, remedy, {"lead": "b1~inverter"})
    assert [each.id for each in made.operations if isinstance(each, RemoveRun)] == ["b1~inverter"]
    with pytest.raises(Unfit, match="there is no lead b1~kite"):
        list(proposals(hide, finding, remedy, {"lead": "b1~kite"}))


def test_of_several_inlets_one_must_be_chosen(heron: Case, reviewed_heron: Review, found: Found) -> None:
    finding = found(reviewed_heron, "charger-fed-by-its-own-battery")
    two = apply(heron, [AddPart("stern", {"kind": "inlet"})])
    remedy = shipped("charger-ahead-of-the-changeover")
    with pytest.raises(Unfit, match="say which inlet: inlet, stern"):
        list(proposals(two, finding, remedy))
    (made,) = proposals(two, finding, remedy, {"inlet": "stern"})
    assert AddFeed("stern > charger_breaker") in made.operations
