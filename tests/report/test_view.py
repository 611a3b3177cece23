"""What a page shows: which findings and questions, under which numbers, with which cautions and deferrals."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from ringout.case.load import load_text
from ringout.report.view import (
    cautions,
    consequences,
    deferral,
    gathered,
    grouped,
    standings,
    view,
    where,
)
from ringout.report.wording import wording
from ringout.review.finding import DANGER, Finding
from ringout.review.review import Review
from ringout.rulebase.rule import WHO
from ringout.shipped import cases_root

Reviewed = Callable[[str], Review]

CASES = sorted(path.stem for path in cases_root().glob("*.yaml"))
LEAD, LITHIUM = "Lead batteries", "A lithium battery"


def renamed(finding: Finding, name: str) -> Finding:
    """The finding as another rule would give it."""
    return replace(finding, rule=replace(finding.rule, name=name))


def of_class(made: Review, dangers: int, faults: int) -> Review:
    """A review with so many findings of a danger class and so many lesser ones, each of a rule of its own."""
    model = made.found[0]
    found = []
    for at in range(dangers + faults):
        grade = replace(model.grade, cls=DANGER if at < dangers else DANGER + 1)
        found.append(replace(renamed(model, f"rule-{at}"), grade=grade, beneath=[]))
    return replace(made, found=tuple(found))


@pytest.mark.parametrize("name", CASES)
def test_numbers_run_on_from_dangers_to_open_questions(reviewed: Reviewed, name: str) -> None:
    shown = view(reviewed(name))
    items = [*shown.dangers, *shown.unsafe.shown, *shown.faults, *shown.rest.shown]
    assert [each.number for each in items] == list(range(1, len(items) + 1))


@pytest.mark.parametrize("name", CASES)
def test_nothing_is_dropped_without_being_counted(reviewed: Reviewed, name: str) -> None:
    made = reviewed(name)
    shown = view(made)
    assert len(shown.dangers) + len(shown.faults) + shown.lesser == len(grouped(made.found))
    rows = len(shown.unsafe.shown) + shown.unsafe.more + len(shown.rest.shown) + shown.rest.more
    assert rows == len(gathered(made.needs))


@pytest.mark.parametrize("most", [7, 4, 3])
@pytest.mark.parametrize("name", CASES)
def test_no_more_rows_than_there_is_room_for(reviewed: Reviewed, name: str, most: int) -> None:
    shown = view(reviewed(name), most)
    assert len(shown.unsafe.shown) + len(shown.rest.shown) <= most


@pytest.mark.parametrize("most", [7, 3])
@pytest.mark.parametrize("name", CASES)
def test_no_heading_stands_over_nothing_but_a_count(reviewed: Reviewed, name: str, most: int) -> None:
    made = reviewed(name)
    quiet = replace(made)
    vars(quiet)["needs"] = tuple(replace(need, explains=False) for need in made.needs)
    for rows in (view(quiet, most).unsafe, view(quiet, most).rest):
        assert rows.shown or not rows.more


def test_what_bears_on_the_complaint_keeps_two_rows(reviewed: Reviewed) -> None:
    shown = view(reviewed("ten-facts"), 3)
    assert shown.unsafe.more > 0
    assert [row.needs[0].explains for row in shown.rest.shown] == [True, True]


@pytest.mark.parametrize(("dangers", "faults"), [(0, 12), (0, 13), (3, 9), (3, 10), (14, 5)])
def test_a_dozen_headlines_and_every_danger(reviewed: Reviewed, dangers: int, faults: int) -> None:
    shown = view(of_class(reviewed("reed-loop"), dangers, faults))
    assert len(shown.dangers) == dangers
    assert len(shown.faults) == min(faults, max(0, 12 - dangers))
    assert shown.lesser == faults - len(shown.faults)


def test_findings_of_one_rule_and_class_stand_together(reviewed: Reviewed) -> None:
    made = reviewed("reed-loop")
    one, other = made.found[0], renamed(made.found[0], "another")
    graver = replace(one, grade=replace(one.grade, cls=1))
    assert grouped([one, other, one, graver]) == [[one, one], [other], [graver]]


def test_the_first_words_count_dangers_found_and_open(reviewed: Reviewed) -> None:
    made = replace(reviewed("reed-loop"), open=())
    assert view(of_class(made, 0, 2)).first.startswith("Nothing that can hurt someone was found")
    assert view(of_class(made, 1, 2)).first == "1 thing wrong that can hurt someone: see to number 1 first."
    several = "3 things wrong that can hurt someone: see to numbers 1 to 3 first."
    assert view(of_class(made, 3, 0)).first == several
    open_too = view(reviewed("ten-facts")).first
    assert "not shown to be safe. Not known is not the same as fine." in open_too


@pytest.mark.parametrize("name", CASES)
def test_a_row_in_short_counts_every_verdict_that_waits_for_it(reviewed: Reviewed, name: str) -> None:
    shown = view(reviewed(name))
    for row in (*shown.unsafe.shown, *shown.rest.shown):
        verdicts = [finding for need in row.needs for finding in need.opens]
        more = f"; and {len(verdicts) - 1} more" if len(verdicts) > 1 else ""
        assert row.short == verdicts[0].title + more


def test_everything_that_follows_is_listed_nearest_first(reviewed: Reviewed) -> None:
    model = replace(reviewed("reed-loop").found[0], beneath=[])
    far = renamed(model, "far")
    near = replace(renamed(model, "near"), beneath=[far])
    beside = renamed(model, "beside")
    cause = replace(model, beneath=[near, beside])
    assert [each.rule.name for each in consequences(cause)] == ["near", "far", "beside"]


def test_where_names_the_parts_and_the_place_they_stand_in(reviewed: Reviewed) -> None:
    made = reviewed("heron")
    fuse = next(each for each in made.found if each.rule.name == "main-fuse-far-from-the-post")
    assert where(made.case, fuse) == "bank house, main fuse (seat box)"


def test_a_cause_supported_at_one_part_is_not_ruled_out_by_another(reviewed: Reviewed) -> None:
    complaint = reviewed("reed-loop").complaints[0]
    cause = complaint.causes[0]
    both = replace(complaint, causes=(cause, replace(cause, standing="ruled out")))
    assert standings(both) == {"supported": [cause.title]}


def battery(chemistry: str) -> str:
    return f"case: a hut\nparts:\n  house: {{kind: battery, chemistry: {chemistry}}}\n"


@pytest.mark.parametrize(
    ("chemistry", "lead", "lithium"),
    [
        ("AGM (label)", True, False),
        ("LFP (label)", False, True),
        ("lithium_other (label)", False, True),
        ("nickel (label)", False, False),
        ("unknown", True, True),
        ("LFP (assumed)", True, True),
    ],
)
def test_cautions_are_for_what_the_battery_is_or_may_be(chemistry: str, lead: bool, lithium: bool) -> None:
    said = cautions(load_text(battery(chemistry), "hut.yaml"))
    assert any(each.startswith(LEAD) for each in said) is lead
    assert any(each.startswith(LITHIUM) for each in said) is lithium
    assert any("cannot be switched off" in each for each in said)


def test_the_type_of_a_bank_is_that_of_its_batteries() -> None:
    bank = "case: a hut\nparts:\n  b1: {kind: battery, chemistry: AGM}\n  house: {kind: bank, of: b1}\n"
    said = cautions(load_text(bank, "hut.yaml"))
    assert any(each.startswith(LEAD) for each in said)
    assert not any(each.startswith(LITHIUM) for each in said)


def test_cautions_about_parts_are_given_where_there_is_one() -> None:
    bare = cautions(load_text("case: a hut\nparts:\n  lamp: {kind: dc_load}\n", "hut.yaml"))
    assert bare == [each.says for each in wording().cautions if not each.where]
    sunny = cautions(load_text("case: a hut\nparts:\n  roof: {kind: solar_panel}\n", "hut.yaml"))
    assert [each.split()[0] for each in sunny if each not in bare] == ["Solar"]


def told(finding: Finding, who: str, mains: bool) -> Finding:
    words = finding.rule.finding
    assert words is not None
    return replace(finding, rule=replace(finding.rule, finding=replace(words, who=who, mains=mains)))


@pytest.mark.parametrize("who", WHO)
def test_a_mains_task_defers_to_the_rules_of_the_place(reviewed: Reviewed, who: str) -> None:
    made = reviewed("heron")
    assert deferral(made.case, told(made.found[0], who, mains=True)) == wording().mains_deferral


@pytest.mark.parametrize(
    ("chemistry", "who", "defers"),
    [
        ("LFP", "auto_electrician", True),
        ("unknown", "auto_electrician", True),
        ("AGM", "auto_electrician", False),
        ("LFP", "owner", False),
    ],
)
def test_work_at_a_lithium_battery_defers_to_its_maker(
    reviewed: Reviewed, chemistry: str, who: str, defers: bool
) -> None:
    # The charger of this case hangs on the battery `house`, of whatever type the case says.
    finding = told(reviewed("reed-loop").found[0], who, mains=False)
    case = load_text(battery(chemistry), "hut.yaml")
    assert deferral(case, finding) == (wording().lithium_deferral if defers else "")


def test_of_a_sound_installation_nothing_is_left_out_behind_the_page(reviewed: Reviewed) -> None:
    shown = view(reviewed("plover"))
    assert [each.cls for each in reviewed("plover").found if each.cls < 5] == []
    assert (shown.lesser, shown.unsafe.more, shown.rest.more) == (0, 0, 0)
