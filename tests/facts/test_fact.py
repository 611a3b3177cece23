"""One fact."""

from ringout.facts.fact import Fact
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
