"""What changes if some facts are others: every verdict that moved, once, and none that did not."""

from collections.abc import Callable

import pytest

from ringout.case.load import load
from ringout.cli.what_if import NOTHING, changes, place
from ringout.inference.chain import Verdict
from ringout.plan.compare import standings
from ringout.plan.what_if import what_if
from ringout.review.review import Review, review
from ringout.shipped import cases_root

Reviewed = Callable[[str], Review]
WRONG, OPEN, RIGHT, NOT = Verdict.WRONG, Verdict.NOT_KNOWN, Verdict.RIGHT, Verdict.DOES_NOT_APPLY


@pytest.mark.parametrize(
    ("before", "after", "name"),
    [
        (RIGHT, WRONG, "gained"), (None, WRONG, "gained"), (OPEN, WRONG, "gained"),
        (WRONG, RIGHT, "lost"), (WRONG, OPEN, "lost"), (WRONG, None, "lost"),
        (RIGHT, OPEN, "opened"), (OPEN, RIGHT, "settled"), (OPEN, NOT, "settled"),
        (RIGHT, NOT, "other"), (NOT, None, "other"), (RIGHT, RIGHT, ""), (None, None, ""),
    ],
)  # fmt: skip
def test_a_move_has_its_list(before: Verdict | None, after: Verdict | None, name: str) -> None:
    assert place(before, after) == name


def test_all_that_moved_is_listed_and_nothing_else(reviewed: Reviewed) -> None:
    before = reviewed("crake")
    settings = {"house.chemistry": "LFP"}
    after = review(what_if(load(cases_root() / "crake.yaml"), settings), "plain")
    were, are = standings(before, {}), standings(after, {})
    moved = [key for key in were.keys() | are.keys() if words(were, key) != words(are, key)]
    page = " ".join("\n".join(changes(before, after, settings, [])).split())
    assert len(moved) > 5
    assert page.count(" now, ") == len(moved)
    for rule, _ in moved:
        assert f"[{rule}]" in page


def words(standing: dict, key: object) -> str:  # type: ignore[type-arg]
    return standing[key].words if key in standing else "not there"


def test_a_value_that_changes_nothing_says_so(reviewed: Reviewed) -> None:
    before = reviewed("crake")
    asked = [said for said in before.chained.said if said.rule.name == "fuse-bridged"][:1]
    page = list(changes(before, before, {"house.chemistry": "AGM"}, asked))
    assert NOTHING in page
    assert any("stays right" in line for line in page)
