"""What a remedy looks up in a case."""

from collections.abc import Callable

import pytest

from ringout.case.case import Case
from ringout.plan.find import Finder, Item
from ringout.plan.operations import AddPart, apply
from ringout.plan.remedy import LOOKS
from ringout.plan.written import Unfit

MakeCase = Callable[..., Case]

BANK = """\
  - b1+ = b2+ = b3+ = b4+ : 35 mm2, 0.4 m, 0.4 m, 0.4 m
  - b4- = b3- = b2- = b1- : 35 mm2, 0.4 m, 0.4 m, 0.4 m
  - b1+ = fuse = bars+ : 50 mm2, 0.2 m, 0.5 m
  - bars- = shunt = b1- : 50 mm2, 0.5 m, 0.3 m
  - bars = inverter : 35 mm2, 2 m
  - bars = charger : 10 mm2, 2 m
"""


def names(items: tuple[Item, ...]) -> list[str]:
    return [item[""] for item in items]


def test_every_look_that_a_remedy_may_ask_for_is_there(hide: Case) -> None:
    assert all(callable(getattr(Finder, what, None)) for what in LOOKS)


def test_the_parts_of_a_kind_are_found(hide: Case) -> None:
    assert names(Finder(hide).look("one_of_kind", "inlet")) == ["inlet"]
    with pytest.raises(Unfit, match="no generator is written"):
        Finder(hide).look("one_of_kind", "generator")
    two = apply(hide, [AddPart("second", {"kind": "inlet"})])
    assert names(Finder(two).look("one_of_kind", "inlet")) == ["inlet", "second"]


def test_the_place_of_a_bank_is_that_of_its_first_battery(hide: Case) -> None:
    assert names(Finder(hide).look("place_of", "b1")) == ["bench"]
    assert names(Finder(hide).look("place_of", "bars")) == []


def test_the_distances_of_a_part_are_those_that_name_it(hide: Case) -> None:
    assert names(Finder(hide).look("distances_of", "controller")) == ["controller to b1"]
    assert len(Finder(hide).look("distances_of", "b1")) == 2


def test_a_feed_tells_its_source_and_an_open_one_is_not_known(hide: Case, wired: MakeCase) -> None:
    assert Finder(hide).look("feed_of", "charger") == ({"": "charger.ac", "from": "board"},)
    with pytest.raises(Unfit, match="it is not known yet what feeds charger"):
        Finder(wired(ac="  - inlet | inverter > charger\n")).look("feed_of", "charger")


def test_links_join_posts_and_nothing_else(wired: MakeCase) -> None:
    finder = Finder(wired(BANK))
    assert names(finder.look("links_of", "bank")) == [
        "b1+~b2+", "b2+~b3+", "b3+~b4+", "b4-~b3-", "b3-~b2-", "b2-~b1-"
    ]  # fmt: skip
    with pytest.raises(Unfit, match="there is no bank bars"):
        finder.look("links_of", "bars")


def test_a_lead_ends_where_something_else_joins(wired: MakeCase) -> None:
    finder = Finder(wired(BANK))
    assert names(finder.look("lead_of", "inverter")) == ["bars~inverter", "bars-~inverter-"]
    row = wired("  - b1 = bars : 35 mm2, 1 m\n  - bars = inverter : 35 mm2, 2 m\n")
    assert names(Finder(row).look("lead_of", "inverter")) == ["bars~inverter", "bars-~inverter-"]
    long = wired("  - b1 = fuse = inverter : 35 mm2, 0.2 m, 2 m\n")
    assert names(Finder(long).look("lead_of", "inverter")) == ["fuse~inverter", "b1~fuse", "b1-~inverter-"]
    with pytest.raises(Unfit, match="no lead of its own is written for charger"):
        Finder(long).look("lead_of", "charger")


def test_the_last_run_is_the_way_out_which_the_return_follows(wired: MakeCase) -> None:
    pair = wired("  - b1 = fuse = inverter : 35 mm2, 0.2 m, 2 m\n")
    assert names(Finder(pair).look("last_run_to", "inverter")) == ["fuse~inverter"]
    poles = wired("  - b1+ = inverter+ : 35 mm2, 2 m\n  - b1- = shunt = inverter- : 35 mm2, 1 m, 1 m\n")
    assert names(Finder(poles).look("last_run_to", "inverter")) == ["b1+~inverter+", "shunt~inverter-"]


def test_the_runs_at_the_panels_may_be_none(hide: Case, wired: MakeCase) -> None:
    assert names(Finder(hide).look("runs_at_panels_of", "controller")) == ["controller.pv~panel"]
    assert Finder(wired(BANK)).look("runs_at_panels_of", "inverter") == ()


def test_the_leads_without_a_fuse_start_at_the_posts(hide: Case, wired: MakeCase) -> None:
    leads = Finder(hide).look("unfused_leads_of", "b1")
    assert {lead[""] for lead in leads} == {"b1~bars", "b1~inverter", "b1~controller", "b1~charger"}
    assert all(lead["from"] == "b1+" for lead in leads)
    assert sorted(lead["n"] for lead in leads) == ["1", "2", "3", "4"]
    backwards = wired(BANK + "  - charger+ = b2+ : 6 mm2, 1 m\n")
    (lead,) = Finder(backwards).look("unfused_leads_of", "bank")
    assert (lead["from"], lead["to"], lead["size"], lead["length"]) == ("b2+", "charger+", "6 mm2", "1 m")
    with pytest.raises(Unfit, match="no lead of bank without a fuse is written"):
        Finder(wired(BANK)).look("unfused_leads_of", "bank")


def test_the_minus_lead_belongs_to_the_far_end_from_the_plus_lead(wired: MakeCase) -> None:
    (lead,) = Finder(wired(BANK)).look("minus_lead_of", "bank")
    assert (lead[""], lead["from"], lead["to"], lead["far"]) == ("shunt~b1-", "b1-", "shunt.out", "b4-")


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("  - b3- = charger- : 6 mm2, 1 m\n", "bank is not left by one plus and one minus lead"),
        ("  - b3+ = charger+ : 6 mm2, 1 m\n", "bank is not left by one plus and one minus lead"),
    ],
)
def test_a_bank_with_more_leads_is_for_a_person_to_judge(wired: MakeCase, line: str, why: str) -> None:
    with pytest.raises(Unfit, match=why):
        Finder(wired(BANK + line)).look("minus_lead_of", "bank")


def test_batteries_without_minus_links_have_no_far_end(wired: MakeCase) -> None:
    one = wired("  - b1+ = bars+ : 6 mm2, 1 m\n  - b1- = bars- : 6 mm2, 1 m\n")
    with pytest.raises(Unfit, match="no minus links between the batteries of bank"):
        Finder(one).look("minus_lead_of", "bank")


def test_a_size_written_with_names_is_not_carried_over(wired: MakeCase) -> None:
    case = wired("  - {run: b1 = bars, size: {is: 35 mm2, from: label}}\n")
    with pytest.raises(Unfit, match="the size of b1~bars is written with names"):
        Finder(case).look("unfused_leads_of", "bank")
