"""Answers onto the file as written: at their place, nothing else touched, nothing stated overwritten."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.case.case import Case
from ringout.case.frame import CaseFile
from ringout.case.load import load_text
from ringout.interview.save import UNKNOWN, asked, new_case, note, place_of, put, say, stated
from ringout.text.document import read_text
from ringout.text.problem import Loc

AT = "2026-05-03 10:05"
CASE = """\
# the boat that rings terns
case: the tern boat
parts:   # as seen on board
  house: {kind: battery, chemistry: LFP (label), capacity: unknown}   # two of them, alike
  chg:
    kind: mains_charger
    output: about 40 A (said)
    absorption: {is: 14.2 V, from: measured}
  old: {kind: inverter, supposed: yes}
places:
  locker: {sort: locker}
distances: {chg to house: unknown}
readings:
  rest: {what: voltage, value: unknown}
"""


def case(text: str = CASE) -> Case:
    return load_text(text, "boat.yaml")


NOWHERE = ["chg.place", "b1~chg.size", "readings.new", "confirm.some-rule.chg", "old.there"]


def said(path: str, value: str, text: str = CASE) -> str:
    made = say(case(text), path, value, "Which?", AT)
    load_text(made, "boat.yaml")
    return made


@pytest.mark.parametrize(
    ("path", "value", "old", "new"),
    [
        ("house.capacity", "200 Ah (said)", "capacity: unknown", "capacity: 200 Ah (said)"),
        ("house.main_fuse", UNKNOWN, "unknown}   #", "unknown, main_fuse: unknown (said)}   #"),
        (
            "chg.live_on_inverter",
            "yes (said)",
            "measured}\n",
            "measured}\n    live_on_inverter: yes (said)\n",
        ),
        ("chg.place", "at the other end (said)", "measured}\n", "measured}\n    place: at the other end\n"),
        ("chg.output", "40 A (label)", "about 40 A (said)", "40 A (label)"),
        ("locker.gas", "none (seen)", "{sort: locker}", "{sort: locker, gas: none (seen)}"),
        ("mains.rcd", UNKNOWN, "parts:   #", "mains:\n  rcd: unknown (said)\nparts:   #"),
        ("looked_for.fuse", "all (seen)", "parts:   #", "looked_for:\n  fuse: all (seen)\nparts:   #"),
        ("installation.dc_volts", "24 V (said)", "parts:   #", "dc_volts: 24 V (said)\nparts:   #"),
        ("installation.region", "NZ (said)", "parts:   #", "region: NZ\nparts:   #"),
        ("distances.chg to house", "2 m (said)", "house: unknown", "house: 2 m (said)"),
        ("readings.rest", "13.2 V (measured)", "value: unknown", "value: 13.2 V (measured)"),
        ("old.there", "yes (said)", ", supposed: yes", ""),
    ],
)
def test_an_answer_stands_at_its_place(path: str, value: str, old: str, new: str) -> None:
    assert CASE.count(old) == 1
    assert said(path, value) == CASE.replace(old, new)


@pytest.mark.parametrize(
    ("path", "value"),
    [("house.chemistry", "AGM (said)"), ("house.chemistry", UNKNOWN), ("chg.absorption", "14.6 V (said)")],
)
def test_what_somebody_read_or_measured_stays_and_the_answer_stands_beside_it(path: str, value: str) -> None:
    entry = f'  - {{about: {path}, answer: {value}, question: "Which?", at: {AT}}}\n'
    assert said(path, value) == f"{CASE}answers:\n{entry}"
    assert asked(case(said(path, value)), path)


@pytest.mark.parametrize("path", NOWHERE)
def test_what_has_no_place_becomes_a_note_and_is_not_asked_again(path: str) -> None:
    assert not asked(case(), path)
    made = said(path, UNKNOWN)
    assert made == f'{CASE}notes:\n  - "{AT} not known: {path} (Which?)"\n'
    assert asked(case(made), path)


def test_a_note_about_one_part_is_none_about_another() -> None:
    made = said("chg.place", UNKNOWN)
    assert not asked(case(made), "house.place")
    assert not asked(case(made), "chg.pla")


def test_a_feed_said_by_the_owner_keeps_who_said_it() -> None:
    more = "  gpo: {kind: outlet}\n  inlet: {kind: inlet}\nac: [old | inlet > gpo]\nplaces:"
    text = CASE.replace("places:", more)
    made = said("gpo.fed_from", "inlet.ac (said)", text)
    assert "ac: [inlet > gpo]" in made
    assert f"{AT} answered: gpo.fed_from (Which?) inlet.ac (said)" in made


def test_words_once_given_are_not_asked_for_again() -> None:
    assert asked(case(said("chg.place", "at the other end (said)")), "chg.place")


def test_a_word_that_clears_nothing_is_not_asked_for_again() -> None:
    more = "  gpo: {kind: outlet}\nplaces:"
    text = CASE.replace("places:", more)
    assert not asked(case(text), "gpo.earth")
    assert asked(case(said("gpo.earth", "proven (said)", text)), "gpo.earth")
    assert asked(case(said("mains.rcd", "yes (said)", text)), "mains.rcd")


def test_unknown_is_asked_and_silence_is_not() -> None:
    assert asked(case(), "house.capacity")
    assert not asked(case(), "house.nominal")
    assert not asked(case(), "house.chemistry")


def test_what_is_stated_is_found_in_either_form() -> None:
    assert stated(case(), "house.chemistry") == "LFP (label)"
    assert stated(case(), "chg.absorption") == "14.2 V (measured)"
    assert stated(case(), "house.nominal") is None
    assert place_of(case(), "house.nonsense") is None


@pytest.mark.parametrize("blocks", list(itertools.permutations(("parts", "kind", "complaints", "region"))))
def test_a_new_file_has_its_blocks_in_the_order_of_the_frame(blocks: tuple[str, ...]) -> None:
    puts: dict[str, list[tuple[Loc, str]]] = {
        "parts": [(("parts", "inv", "kind"), "inverter"), (("parts", "inv", "rating"), "2 kW (said)")],
        "kind": [(("kind",), "cabin")],
        "complaints": [
            (("complaints", "main", "says"), "no: light, # at all"),
            (("complaints", "main", "symptom"), "other"),
        ],
        "region": [(("region",), "NZ")],
    }
    text = new_case("Hide: no. 2")
    for block in blocks:
        for loc, value in puts[block]:
            text = put(text, loc, value)
    data: dict[str, object] = read_text(note(text, "seen"), "").at(())
    names = list(data)
    assert names == [name for name in CaseFile.model_fields if name in names]
    assert load_text(text, "x").complaints["main"].says == "no: light, # at all"
    assert "\n  inv:\n    kind: inverter\n    rating: 2 kW (said)\n" in text


def test_a_file_in_braces_and_a_file_without_a_last_line_end_take_answers_too() -> None:
    assert put("{case: x}", ("region",), "NZ") == "{case: x, region: NZ}"
    assert put("case: x", ("region",), "NZ") == "case: x\nregion: NZ"


def test_a_long_text_before_a_new_block_keeps_its_lines() -> None:
    text = "case: x\nabout: |\n  two\n  lines\n\nparts: {}\n"
    made = read_text(put(text, ("region",), "NZ"), "")
    assert made.data == {"case": "x", "about": "two\nlines\n", "parts": {}, "region": "NZ"}


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40))
def test_any_words_come_back_as_they_were_said(words: str) -> None:
    text = put(new_case(words), ("complaints", "main", "says"), words)
    text = note(put(text, ("complaints", "main", "symptom"), "other"), words)
    made = load_text(text, "x")
    assert (made.title, made.complaints["main"].says, made.frame.notes) == (words, words, [words])
