"""The words that stand in every report are complete and plain."""

import pytest

from ringout.report.wording import wording
from ringout.rulebase.rule import WHO
from ringout.rulebase.shape import AREAS


def test_every_class_area_and_trade_has_its_words() -> None:
    assert sorted(wording().classes) == ["1", "2", "3", "4", "5"]
    assert set(wording().areas) == set(AREAS)
    assert set(wording().who) == set(WHO)


@pytest.mark.parametrize("deferral", [wording().deferral, wording().mains_deferral])
def test_a_deferral_gives_way_to_rules_and_licensed_people(deferral: str) -> None:
    assert "licensed" in deferral
    assert "rules of the place" in deferral


def test_the_page_deferral_says_to_isolate_and_prove_dead() -> None:
    assert "isolate and prove dead before touching" in wording().deferral


def test_no_words_shout() -> None:
    said = [*wording().classes.values(), *wording().areas.values(), *wording().who.values()]
    assert [words for words in (*said, wording().deferral, wording().mains_deferral) if "!" in words] == []
