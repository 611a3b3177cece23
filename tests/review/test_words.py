"""Names of parts and values as a person would say them."""

import pytest

from ringout.case.load import load_text
from ringout.facts.fact import Fact
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.review.words import fill, part_name, shown, value_shown

CASE = load_text(
    """
case: made for a test
parts:
  chg: {kind: mains_charger}
  main_charger: {kind: mains_charger}
  inverter: {kind: inverter}
  b1: {kind: battery}
  tea_urn: {kind: appliance}
  reading_light: {kind: dc_load}
""",
    "made.yaml",
)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("chg", "mains charger chg"),
        ("b1", "battery b1"),
        ("inverter", "inverter"),
        ("main_charger", "main charger"),
        ("tea_urn", "tea urn"),
        ("reading_light", "reading light"),
        ("no_such_part", "no such part"),
    ],
)
def test_a_part_is_called_by_its_kind_unless_its_name_says_it(name: str, words: str) -> None:
    assert part_name(CASE, name) == words


@pytest.mark.parametrize(
    ("domain", "dimension", "words"),
    [
        (Choice(frozenset({"gel", "AGM"})), "", "AGM or gel"),
        (Choice(frozenset({"under_seat"})), "", "under seat"),
        (Choice(frozenset("abcd")), "", "a or b or c or d"),
        (Choice(frozenset("abcde")), "", "not known"),
        (Span(2, 2), "count", "2"),
        (Span(2, 3), "count", "2 to 3"),
        (Span(13.2, 13.2), "current", "13.2 A"),
        (Span(11, 14), "current", "11 to 14 A"),
    ],
)
def test_a_value_is_shown_as_far_as_it_is_known(domain: Choice | Span, dimension: str, words: str) -> None:
    assert shown(domain, dimension) == words
    assert value_shown(Leaf("x.y", domain, dimension)) == words


def test_a_template_takes_keys_settled_words_and_values() -> None:
    fact = Fact(
        "placed",
        {"part": "chg"},
        {"amps": Leaf("chg.amps", Span(20, 25), "current")},
        known={"sort": "solar_controller"},
    )
    words = fill("{p.part}, a {p.sort}, gives {p.amps}; {p.weight} of it", {"p": fact}, CASE)
    assert words == "mains charger chg, a solar controller, gives 20 to 25 A; not known of it"


def test_text_in_braces_that_is_no_reference_stays() -> None:
    assert fill("a {brace} and {Two.Parts}", {}, CASE) == "a {brace} and {Two.Parts}"
