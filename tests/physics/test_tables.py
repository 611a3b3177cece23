"""Values that no case states: they come as leaves with a range, a source and a place."""

import pytest

from ringout.case.form import form
from ringout.physics.tables import by_chemistry, constant
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Span

LEAD = Leaf("b1.chemistry", Choice(frozenset({"AGM"})), known=True)
OPEN = Leaf("b2.chemistry", Choice(frozenset({"AGM", "LFP"})))
TABLES = ("rested_volts", "loaded_volts", "charging_volts", "usable_share", "internal_100ah")


def test_a_constant_is_one_shared_leaf() -> None:
    leaf = constant("joint")
    assert leaf is constant("joint")
    assert (leaf.path, leaf.origin, leaf.dimension) == ("tables.joint", Origin.TABLE, "resistance")
    assert leaf.domain == Span(5e-5, 3e-4)
    assert leaf.source and leaf.spot is not None and leaf.spot.file.endswith("physics.yaml")


def test_copper_is_that_of_the_standard() -> None:
    # IEC 60028 (standard, 1925): annealed copper at 20 C.
    assert constant("resistivity_20").domain == Span(0.017241, 0.017241)
    assert constant("temperature_coefficient").domain == Span(0.00393, 0.00393)


@pytest.mark.parametrize("table", TABLES)
def test_every_chemistry_that_can_be_stated_is_in_the_table(table: str) -> None:
    for word in form("battery").fields["chemistry"].options:
        value = by_chemistry(table, Leaf("b.chemistry", Choice(frozenset({word}))))
        domain = value.domain()
        assert isinstance(domain, Span) and 0 < domain.lo <= domain.hi
        assert value.source


def test_an_open_chemistry_spans_its_alternatives() -> None:
    settled, either = by_chemistry("rested_volts", LEAD).domain(), by_chemistry("rested_volts", OPEN).domain()
    assert settled == Span(12.3, 13.0)
    assert either == Span(12.3, 13.4)


def test_a_chemistry_decides_between_the_ranges() -> None:
    value = by_chemistry("usable_share", OPEN)
    assert value.domain({"b2.chemistry": Choice(frozenset({"LFP"}))}) == Span(0.8, 0.9)


def test_an_unknown_name_is_a_mistake_of_the_program() -> None:
    with pytest.raises(KeyError):
        constant("no_such_constant")
