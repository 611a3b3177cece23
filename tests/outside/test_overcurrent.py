"""Fault current, what fuses can break, and the lengths and ratings that rules allow."""

from types import SimpleNamespace

import pytest

from ringout.physics.formulas import bank_ohm, fault_a, typical_internal_ohm
from ringout.physics.tables import by_chemistry, by_word
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.rulebase.limits import limits

MM_PER_INCH = 25.4  # NIST Special Publication 811, guide to the SI, 2008, from memory


def word(name: str) -> Leaf:
    return Leaf("word", Choice(frozenset({name})))


def number(value: float) -> Leaf:
    return Leaf(f"n{value}", Span(value, value))


def limit(name: str, region: str = "") -> float:
    domain = limits()[name].leaves[region].domain
    assert isinstance(domain, Span) and domain.exact
    return domain.lo


def can_break(value: SimpleNamespace) -> Span:
    domain = by_word("fuse", "interrupts", word(value.inputs["family"])).domain()
    assert isinstance(domain, Span)
    return domain


@pytest.mark.published("OC-SC1", "OC-SC5", "OC-AICP")
def test_current_of_a_short(value: SimpleNamespace) -> None:
    its = value.inputs
    bank = float(bank_ohm(its["battery_ohm"], its["series"], its["parallel"]))
    # The loop out and back is one resistance here, so the way back adds nothing.
    found = fault_a(its["volts"], bank, its["loop_ohm"], 1.0)
    assert found == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("OC-SC4")
def test_usual_short_circuit_current_of_a_lead_battery(value: SimpleNamespace) -> None:
    usual = by_chemistry("internal_100ah", word(value.inputs["chemistry"]))
    internal = typical_internal_ohm.of(usual, number(100.0), number(12.0))
    found = fault_a.of(number(12.0), internal, number(0.0), number(1.0)).domain()
    least, most = value.expected
    assert isinstance(found, Span)
    assert found.lo >= least
    assert found.hi == pytest.approx(most)


@pytest.mark.published("OC-AS200", "OC-AS1000")
def test_cable_between_post_and_fuse(value: SimpleNamespace) -> None:
    assert 1000 * limit(value.inputs["limit"], value.inputs.get("region", "")) == pytest.approx(value.expected)


@pytest.mark.published("OC-7IN")
def test_cable_between_post_and_fuse_in_the_united_states(value: SimpleNamespace) -> None:
    assert limit("main_fuse_distance", "US") == pytest.approx(value.expected * MM_PER_INCH / 1000, abs=0.0005)


@pytest.mark.published("OC-40IN", "OC-72IN")
def test_two_rules_of_the_united_states_differ_and_both_are_kept(value: SimpleNamespace) -> None:
    both = limits()[value.inputs["limit"]].leaves["US"].domain
    assert isinstance(both, Span)
    end = both.lo if value.id == "OC-40IN" else both.hi
    assert end == pytest.approx(value.expected * MM_PER_INCH / 1000)


@pytest.mark.published("OC-150A", "OC-150C")
def test_rating_against_what_the_cable_may_carry(value: SimpleNamespace) -> None:
    assert 100 * limit("fuse_against_cable_allowed") == pytest.approx(value.expected)


@pytest.mark.published("OC-BLADE", "OC-LBLADE", "OC-BOLT-*", "OC-STRIP", "OC-POST", "OC-CLT", "OC-NH")
def test_what_a_family_can_break_lies_in_its_range(value: SimpleNamespace) -> None:
    # Where sources differ by family (the figures of bolted sorts), the range must hold all of them.
    assert can_break(value).contains(value.expected)


@pytest.mark.published("OC-CLTAC")
def test_an_alternating_figure_is_not_taken_for_direct_current(value: SimpleNamespace) -> None:
    assert can_break(value).hi < value.expected / 5
