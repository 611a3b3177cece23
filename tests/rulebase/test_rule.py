"""A rule as data."""

from ringout.rulebase.rule import PROBABILITIES, SEVERITIES, WHO, Rule, Term
from ringout.text.problem import Spot

FIRST, SECOND = Term("bank", "bank", {}, {}), Term("load", "dc_load", {"part": ("bank", "part")}, {})


def test_the_first_term_is_the_anchor() -> None:
    spot = Spot("r.yaml", 1, 1)
    rule = Rule("r", "t", "loads", "s", (FIRST, SECOND), None, None, None, None, None, (), (), spot)
    assert rule.anchor is FIRST
    assert rule.level == 0


def test_severity_and_probability_are_those_of_the_standard() -> None:
    # MIL-STD-882E (standard practice, 2012), tables I and II.
    assert SEVERITIES == {1: "catastrophic", 2: "critical", 3: "marginal", 4: "negligible"}
    assert list(PROBABILITIES.values()) == ["frequent", "probable", "occasional", "remote", "improbable"]
    assert list(PROBABILITIES) == list("ABCDE")


def test_mains_and_gas_have_their_own_trades() -> None:
    assert {"owner", "licensed_electrician", "gas_fitter"} <= set(WHO)
