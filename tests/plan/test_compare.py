"""What became of each finding between two reviews."""

from collections.abc import Callable

import pytest

from ringout.case.case import Case
from ringout.case.load import load_text
from ringout.plan.compare import Change, Comparison, all_findings, compare, standings
from ringout.plan.operations import AddPart, AddRun, MoveFeed, RemovePart, RemoveRun, Set, apply, replaced
from ringout.review.review import Review, review

MakeCase = Callable[..., Case]

MOOR = """\
case: The punt on the moor
invented: yes
kind: other
dc_volts: 12 V
looked_for: {fuse: all, breaker: none seen, isolator: none seen}
parts:
  b1: {kind: battery, chemistry: AGM (label), nominal: 12 V, capacity: 100 Ah}
  main: {kind: fuse, rating: 60 A}
  lamp: {kind: dc_load, current: 1 A}
  charger: {kind: mains_charger, output: 10 A, absorption: 14.5 V, profile: AGM}
dc:
  - b1+ = main : 16 mm2, 1.9 m
  - main = lamp+ : 16 mm2, 1 m
  - b1- = lamp- : 16 mm2, 1 m
"""
FAR = "main-fuse-far-from-the-post"
HIGH = "absorption-too-high"


def judged(case: Case) -> Review:
    return review(case, "plain")


def moor(*changes: tuple[str, str]) -> Review:
    text = MOOR
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return judged(load_text(text, "moor.yaml"))


def rules(changes: tuple[Change, ...]) -> list[str]:
    return [each.identity[0] for each in changes]


def only(made: Comparison, rule: str) -> tuple[str, Change]:
    """The list in which the findings of a rule stand, and the one there."""
    places = [
        (name, each)
        for name in Comparison.__dataclass_fields__
        for each in getattr(made, name)
        if each.identity[0] == rule
    ]
    assert len(places) == 1
    return places[0]


VOLTS = {"right": "14.5 V", "wrong": "15.2 V", "not known": "unknown"}


@pytest.mark.parametrize(
    ("before", "after", "place"),
    [
        ("wrong", "right", "gone"),
        ("wrong", "wrong", "still"),
        ("wrong", "not known", "unsettled"),
        ("right", "wrong", "new"),
        ("not known", "wrong", "now_known"),
        ("right", "not known", "opened"),
    ],
)
def test_each_finding_stands_in_the_list_of_what_became_of_it(before: str, after: str, place: str) -> None:
    one, other = (moor(("14.5 V", VOLTS[each])) for each in (before, after))
    name, change = only(compare(one, other), HIGH)
    assert (name, change.before.words, change.after.words) == (place, before, after)
    assert change.identity == (HIGH, ("charger", "b1"))
    assert "charger" in change.about


@pytest.mark.parametrize(
    ("before", "after"), [("not known", "right"), ("right", "right"), ("not known", "not known")]
)
def test_what_was_never_wrong_and_is_not_newly_open_is_not_listed(before: str, after: str) -> None:
    one, other = (moor(("14.5 V", VOLTS[each])) for each in (before, after))
    made = compare(one, other)
    assert all(HIGH not in rules(getattr(made, name)) for name in Comparison.__dataclass_fields__)


def test_a_part_that_is_no_longer_there_takes_its_findings_along() -> None:
    high = moor(("14.5 V", "15.2 V"))
    none = judged(apply(high.case, [RemovePart("charger")]))
    name, change = only(compare(high, none), HIGH)
    assert (name, change.after.words, change.after.cls) == ("gone", "not in the case", None)
    name, change = only(compare(none, high), HIGH)
    assert (name, change.before.words, change.cls) == ("new", "not in the case", 3)


def test_does_not_apply_is_not_wrong() -> None:
    high = moor(("14.5 V", "15.2 V"))
    elsewhere = "  b2: {kind: battery, duty: start}\n"
    apart = load_text(
        MOOR.replace("14.5 V", "15.2 V").replace("dc:\n", f"{elsewhere}dc:\n  - b2 = charger : 6 mm2, 1 m\n"),
        "moor.yaml",
    )
    made = compare(high, judged(apart))
    gone = [each for each in made.gone if each.identity == (HIGH, ("charger", "b1"))]
    assert [each.after.words for each in gone] == ["does not apply"]


def test_a_new_part_stands_for_the_one_it_replaces() -> None:
    before = moor()
    assert FAR in {each.rule.name for each in all_findings(before)}
    operations = [
        AddPart("main_2", {"kind": "fuse", "rating": "60 A"}, replaces="main"),
        RemovePart("main"),
        RemoveRun("b1+~main"),
        RemoveRun("main~lamp+"),
        AddRun("b1+ = main_2 = lamp+", "16 mm2", "1.9 m, 1 m"),
    ]
    after = judged(apply(before.case, operations))
    assert only(compare(before, after, replaced(operations)), FAR)[0] == "still"
    # Without that word they are two findings, one gone and one new.
    made = compare(before, after)
    assert FAR in rules(made.gone) and FAR in rules(made.new)


def test_what_a_case_says_of_a_replaced_part_counts() -> None:
    before = moor()
    text = MOOR.replace("  lamp:", "  main_2: {kind: fuse, rating: 60 A, replaces: main}\n  lamp:")
    text = text.replace("b1+ = main :", "b1+ = main_2 :").replace("main = lamp+", "main_2 = lamp+")
    assert only(compare(before, judged(load_text(text, "moor.yaml"))), FAR)[0] == "still"


def test_a_run_is_the_same_run_on_another_line(wired: MakeCase) -> None:
    sizes = "  - b1 = b2 : 16 mm2, 0.4 m\n  - b2+ = b3+ : 50 mm2, 0.4 m\n  - b2- = b3- : 50 mm2, 0.4 m\n"
    single = sizes.replace("b1 = b2 :", "b1+ = b2+ :") + "  - b2- = b1- : 16 mm2, 0.4 m\n"
    made = compare(judged(wired(sizes)), judged(wired(single)))
    assert "links-of-different-size" in rules(made.still)
    assert "links-of-different-size" not in rules((*made.gone, *made.new))


def test_another_class_of_what_is_still_wrong_is_shown() -> None:
    low = ("14.5 V", "13.6 V")  # graver for lead, which hardens, than for lithium
    made = compare(moor(low, ("AGM (label)", "LFP (label)"), ("profile: AGM", "profile: LFP")), moor(low))
    changed = {each.identity[0]: (each.before.cls, each.after.cls) for each in made.changed}
    assert changed == {"absorption-too-low": (4, 3), "bank-seldom-full": (4, 3)}


def test_of_two_findings_with_one_identity_the_worse_stands(wired: MakeCase) -> None:
    beside = "  - b1+ = b2+ : 16 mm2, 0.4 m\n  - b1+ = b2+ : 50 mm2, 0.4 m\n  - b2+ = b3+ : 50 mm2, 0.4 m\n"
    of = judged(wired(beside))
    words = {
        standing.words
        for (rule, base), standing in standings(of, {}).items()
        if rule == "links-of-different-size" and base[1:] == ("b1+ to b2+", "b2+ to b3+")
    }
    assert words == {"wrong"}


def test_every_wrong_finding_of_either_stands_in_one_list_and_only_there(
    heron: Case, reviewed_heron: Review
) -> None:
    after = judged(apply(heron, [MoveFeed("charger", "inlet"), Set({"b1+~main_fuse.length": "unknown"})]))
    made = compare(reviewed_heron, after)
    listed = [each.identity for name in Comparison.__dataclass_fields__ for each in getattr(made, name)]
    assert len(listed) == len(set(listed))
    for of, names in (
        (reviewed_heron, ("gone", "still", "unsettled")),
        (after, ("new", "now_known", "still")),
    ):
        wrong = {key for key, standing in standings(of, {}).items() if standing.words == "wrong"}
        assert wrong == {each.identity for name in names for each in getattr(made, name)}


def test_a_review_against_itself_leaves_all_as_it_was(reviewed_heron: Review) -> None:
    made = compare(reviewed_heron, reviewed_heron)
    assert made.still and made.changed == ()
    assert (made.gone, made.new, made.now_known, made.unsettled, made.opened) == ((), (), (), (), ())
    assert list(made.still) == sorted(made.still, key=lambda each: (each.cls, each.identity))
