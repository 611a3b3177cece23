"""Names of parts and values as a person would say them."""

from dataclasses import replace

import pytest

from ringout.case.load import load_text
from ringout.facts.fact import Fact
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Span
from ringout.review.words import both_told, fill, part_name, shown, value_shown
from ringout.text.problem import Spot

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


LABEL = Leaf("b1.capacity", Span(200, 200), "charge", Origin.LABEL, known=True, spot=Spot("a.yaml", 4, 2))
READ = Leaf("readings.test", Span(140, 140), "charge", Origin.MEASURED, True, "140 Ah", Spot("a.yaml", 9, 2))


def test_what_was_stated_is_told_beside_what_was_read() -> None:
    twice = replace(READ, stated=LABEL, note="read twice: 140 Ah (line 9), 141 Ah (line 10)")
    assert both_told(twice) == "the label says 200 Ah (line 4); read twice: 140 Ah (line 9), 141 Ah (line 10)"
    doubted = replace(LABEL, domain=Span(140, 200), word=LABEL.domain, stated=LABEL, doubt=READ)
    assert both_told(doubted) == "the label says 200 Ah (line 4); read, and in doubt until repeated: 140 Ah (line 9)"
    seen = replace(READ, stated=replace(LABEL, origin=Origin.SEEN))
    assert both_told(seen) == "the case states 200 Ah (line 4)"
    unsaid = replace(READ, stated=Leaf("b1.capacity", Span(1, 3000), "charge"))
    assert (both_told(unsaid), both_told(LABEL), both_told(READ)) == ("", "", "")


def test_what_is_in_doubt_is_anything_from_what_was_stated_to_what_was_read() -> None:
    doubted = replace(LABEL, domain=Span(140, 200), word=LABEL.domain, stated=LABEL, doubt=READ)
    assert value_shown(doubted) == "140 to 200 Ah"
    hearsay = Leaf("b1.capacity", Span(1, 3000), "charge", word=Span(200, 200))
    assert value_shown(hearsay) == "200 Ah (only said)"
