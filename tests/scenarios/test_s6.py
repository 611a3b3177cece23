"""Ten facts over the phone: what one screen must say, and what it must not.

The situation, all invented: a complaint; two lithium batteries; a 2 kW inverter; a charger plugged into an
outlet; whether that outlet is live on the inverter: not known; the solar controller "at the other end"; main
fuse not seen; RCD: not known.
"""

import re
from collections.abc import Callable

import pytest

from ringout.case.load import load, load_text
from ringout.inference.chain import Verdict
from ringout.inference.durable import available
from ringout.report.text import text
from ringout.review.finding import DANGER
from ringout.review.review import Review, review
from ringout.shipped import cases_root

Reviewed = Callable[[str], Review]

LOOP = "charger-fed-by-its-own-battery"
NOT_CLEAR = ("rcd-missing", "main-fuse-missing", "earth-not-proven", LOOP, "loop-empties-the-bank")


@pytest.fixture
def made(reviewed: Reviewed) -> Review:
    return reviewed("ten-facts")


@pytest.fixture
def page(made: Review) -> str:
    return text(made)


def flat(words: str) -> str:
    return " ".join(words.split())


def test_the_case_states_the_ten_facts_and_no_more(made: Review) -> None:
    parts = made.case.parts
    assert [each.symptom for each in made.case.complaints.values()] == ["flat_by_morning"]
    assert (parts["house"].leaf("count").text, parts["house"].word("chemistry")) == ("2 (said)", "LFP")
    assert parts["inverter"].leaf("rating").text == "2000 W (said)"
    for part, field in (("outlet", "live_on_inverter"), ("house", "main_fuse"), ("outlet", "rcd")):
        leaf = parts[part].leaf(field)
        assert leaf.asked and not leaf.known, f"{part}.{field} was asked, and nobody knew"
    assert parts["controller"].place == "at the other end"
    said = [leaf for part in parts.values() for leaf in part.leaves.values() if leaf.known or leaf.asked]
    stated = {leaf.path for leaf in said if leaf.text}
    assert len(stated) == 6, "beside the complaint, the charger on its outlet and where the controller is"


# Must


@pytest.mark.parametrize("engine", ["plain", "durable"] if available() else ["plain"])
def test_it_fits_on_one_screen(engine: str) -> None:
    lines = text(review(load(cases_root() / "ten-facts.yaml"), engine)).splitlines()
    assert len(lines) <= 40
    assert max(map(len, lines)) <= 80


def test_rcd_and_main_fuse_come_first_as_not_shown_to_be_safe(made: Review, page: str) -> None:
    first, second = made.needs[:2]
    rules = [{each.rule.name for each in need.opens} for need in (first, second)]
    assert any("rcd-missing" in names for names in rules)
    assert any("main-fuse-missing" in names for names in rules)
    assert first.cls <= DANGER and second.cls <= DANGER
    start, end = page.index("NOT SHOWN TO BE SAFE: check first"), page.index("NOT KNOWN YET: check next")
    unsafe = flat(page[start:end])
    assert re.search(r" [12] RCD for outlet: not seen", unsafe)
    assert re.search(r" [12] Main fuse of battery house: not seen", unsafe)


def test_the_loop_is_settled_by_one_look(made: Review, page: str) -> None:
    assert "check Unplug shore, switch the inverter on and look at the lamp of charger." in flat(page)
    [need] = [need for need in made.needs if any(each.rule.name == LOOP for each in need.opens)]
    assert {"loop-empties-the-bank", LOOP} <= {each.rule.name for each in need.opens}
    assert need.access == "bare_hand"


@pytest.mark.parametrize(
    ("live", "verdict"), [("yes", Verdict.WRONG), ("no", Verdict.RIGHT), ("unknown", Verdict.NOT_KNOWN)]
)
def test_that_look_does_settle_it(made: Review, live: str, verdict: Verdict) -> None:
    told = made.case.document.text.replace("live_on_inverter: unknown (said)", f"live_on_inverter: {live}")
    again = review(load_text(told, "told.yaml"), "plain")
    [said] = [each for each in again.chained.said if each.rule.name == LOOP]
    assert said.verdict is verdict


def test_not_known_is_said_not_to_be_fine(page: str) -> None:
    assert "not shown to be safe. Not known is not the same as fine." in flat(page)


# Must not


@pytest.mark.parametrize("rule", NOT_CLEAR)
def test_none_of_these_is_called_clear(made: Review, rule: str) -> None:
    given = [said.verdict for said in made.chained.said if said.rule.name == rule]
    assert given == [Verdict.NOT_KNOWN]
    assert all(rule not in names for names in made.right.values())
    cleared = [cause for each in made.complaints for cause in each.causes if cause.standing == "ruled out"]
    assert [cause for cause in cleared if cause.said.rule.name in NOT_CLEAR] == []


def test_the_controller_is_neither_fine_nor_at_fault(made: Review) -> None:
    far = [said.verdict for said in made.chained.said if said.rule.name.startswith("controller-")]
    assert far and set(far) <= {Verdict.NOT_KNOWN, Verdict.DOES_NOT_APPLY}


def test_nothing_is_called_wrong_on_so_little(made: Review, page: str) -> None:
    assert made.found == ()
    assert "WRONG" not in page


def test_no_more_than_seven_things_are_asked(page: str) -> None:
    assert 1 <= page.count("   check  ") <= 7
