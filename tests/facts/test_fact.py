"""One fact."""

import pytest

from ringout.facts.fact import Fact, Later
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Span


def test_the_id_is_the_type_and_its_keys_in_order() -> None:
    assert Fact("charging", {"source": "chg", "bank": "house"}).id == "charging(chg, house)"
    assert Fact("charging", {"bank": "house", "source": "chg"}).id == "charging(house, chg)"


def test_what_a_fact_says_is_not_part_of_its_id() -> None:
    drop = Leaf("x", Span(1.0, 2.0))
    assert (
        Fact("lead", {"part": "inv"}, {"drop": drop}, {"role": "inverter"}).id
        == Fact("lead", {"part": "inv"}).id
    )


def test_a_plain_fact_stands_on_nothing() -> None:
    fact = Fact("bank", {"part": "house"})
    assert (fact.values, fact.known, fact.standing) == ({}, {}, ())


def test_what_is_said_later_is_made_once_and_when_it_is_asked_for() -> None:
    made: list[str] = []

    def make(name: str) -> Leaf:
        made.append(name)
        return Leaf("x", Span(1.0, 2.0))

    values = Fact("lead", {"part": "inv"}, Later(("drop", "share"), make)).values
    assert (list(values), len(values), "share" in values, "volts" in values) == (["drop", "share"], 2, True, False)
    assert made == []
    assert values["drop"] is values["drop"]
    assert made == ["drop"]
    with pytest.raises(KeyError):
        values["volts"]
    assert made == ["drop"]


def test_what_is_said_later_can_be_walked_through() -> None:
    drop = Leaf("x", Span(1.0, 2.0))
    values = Later(("drop",), {"drop": drop}.__getitem__)
    assert dict(values) == {"drop": drop}
    assert list(values.items()) == [("drop", drop)]
