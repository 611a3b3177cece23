"""From file to case: what each block makes of it, and that mistakes of all blocks come at once.

The exact texts of mistakes stand in golden/.
"""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.case.case import Case
from ringout.case.load import build, load, load_text
from ringout.quantity.leaf import Origin
from ringout.quantity.span import Choice, Span
from ringout.shipped import cases_root
from ringout.text.document import read_text
from ringout.text.edit import quote
from ringout.text.problem import Unusable

CASES = sorted(cases_root().glob("*.yaml"))

PARTS = """\
case: the hide
parts:
  b1: {kind: battery, chemistry: LFP (label), capacity: 100 Ah (assumed), nominal: unknown}
  f1: {kind: fuse, supposed: yes, rating: 300 A}
places:
  locker: {sort: under_bed}
"""


def case(rest: str) -> Case:
    return load_text(PARTS + rest, "c.yaml")


def refused(rest: str) -> list[str]:
    with pytest.raises(Unusable) as caught:
        case(rest)
    return str(caught.value).splitlines()


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_sample_case_can_be_loaded(path: Path) -> None:
    its = load(path)
    assert its.parts
    assert its.title


def test_a_case_is_read_from_a_file_a_text_or_a_document(tmp_path: Path) -> None:
    file = tmp_path / "c.yaml"
    file.write_text(PARTS, encoding="utf-8")
    assert load(file).title == case("").title == build(read_text(PARTS, "c.yaml")).title == "the hide"


def test_the_least_case_is_a_title() -> None:
    its = load_text("case: the hide", "c.yaml")
    assert (its.parts, its.hops, its.feeds, its.readings) == ({}, {}, [], [])
    assert (its.dc_volts.domain, its.dc_volts.known) == (Span(12, 48), False)
    assert (its.ac_volts.domain, its.ac_volts.known) == (Span(100, 240), False)


def test_the_voltages_of_the_whole() -> None:
    its = case("dc_volts: 24 V (label)\nac_volts: 230 V\n")
    assert (its.dc_volts.domain, its.dc_volts.path) == (Span(24, 24), "installation.dc_volts")
    assert (its.ac_volts.domain, its.ac_volts.path) == (Span(230, 230), "installation.ac_volts")


def test_a_part_written_once_is_one_thing() -> None:
    assert case("").parts["b1"].leaf("count").domain == Span(1, 1)
    assert case("answers: [{about: b1.count, answer: 2}]\n").parts["b1"].leaf("count").domain == Span(2, 2)


# -- looked for ------------------------------------------------------------------------------------------


def test_a_kind_that_was_looked_for_is_closed() -> None:
    leaf = case("looked_for: {fuse: all, rcd: none seen}\n").looked("rcd")
    assert (leaf.domain, leaf.known, leaf.path) == (Choice(frozenset({"none seen"})), True, "looked_for.rcd")


@pytest.mark.parametrize("origin", ["said", "manual", "label", "assumed", "supposed"])
def test_absence_that_nobody_looked_for_clears_nothing(origin: str) -> None:
    leaf = case(f"looked_for: {{rcd: none seen ({origin})}}\n").looked("rcd")
    assert not leaf.known
    assert not leaf.settled
    assert leaf.origin is Origin(origin)


def test_a_kind_nobody_mentioned_is_open() -> None:
    assert not case("").looked("rcd").settled


# -- answers ---------------------------------------------------------------------------------------------


def test_an_answer_speaks_where_the_file_is_silent() -> None:
    its = case("answers: [{about: b1.bms, answer: inside, by: owner, at: '10:00'}]\n")
    leaf = its.parts["b1"].leaf("bms")
    assert its.parts["b1"].word("bms") == "inside"
    assert (leaf.known, leaf.origin, leaf.by, leaf.at) == (True, Origin.SAID, "owner", "10:00")


def test_an_answer_fills_what_was_not_known_or_only_assumed() -> None:
    its = case("answers: [{about: b1.nominal, answer: 12 V}, {about: b1.capacity, answer: 90 Ah}]\n")
    assert its.parts["b1"].leaf("nominal").domain == Span(12, 12)
    assert its.parts["b1"].leaf("capacity").domain == Span(90, 90)


def test_an_answer_never_outranks_what_was_read() -> None:
    assert case("answers: [{about: b1.chemistry, answer: AGM}]\n").parts["b1"].word("chemistry") == "LFP"


def test_the_later_of_two_answers_counts() -> None:
    its = case("answers: [{about: b1.bms, answer: none}, {about: b1.bms, answer: inside}]\n")
    assert its.parts["b1"].word("bms") == "inside"


def test_whoever_cannot_say_is_not_asked_again_and_what_was_assumed_stays() -> None:
    leaf = case("answers: [{about: b1.capacity, answer: don't know}]\n").parts["b1"].leaf("capacity")
    assert (leaf.asked, leaf.known, leaf.hint) == (True, False, Span(100, 100))


@pytest.mark.parametrize(
    ("about", "answer"), [("habits.nights_away", "4"), ("locker.gas", "none"), ("mains.rcd", "yes (seen)")]
)
def test_answers_can_be_about_habits_places_and_the_mains(about: str, answer: str) -> None:
    its = case(f"answers: [{{about: {about}, answer: {answer}}}]\n")
    name, key = about.split(".")
    sheet = {"habits": its.habits, "mains": its.mains}.get(name) or its.places[name]
    assert sheet.leaf(key).known


# -- distances, readings, changes ------------------------------------------------------------------------


def test_a_distance_is_found_from_either_end() -> None:
    its = case("distances: {b1 to locker: 2..3 m, f1 to bed: 1 m}\n").distances
    assert its[frozenset({"locker", "b1"})].domain == Span(2, 3)
    assert its[frozenset({"bed", "f1"})].path == "distances.f1 to bed"


def test_a_reading_is_measured_unless_it_says_otherwise() -> None:
    taken = case("readings: {rest: {what: voltage, value: 12.7 V}}\n").readings[0]
    assert (taken.name, taken.value.domain) == ("rest", Span(12.7, 12.7))
    assert taken.value.origin is Origin.MEASURED
    said = case("readings: {rest: {what: voltage, value: 12.7 V (said)}}\n").readings[0]
    assert said.value.origin is Origin.SAID


def test_what_a_screen_shows_stays_words() -> None:
    its = case("readings: {screen: {what: shown, value: E04}}\n")
    assert its.readings == []
    assert its.frame.readings["screen"].value == "E04"


@pytest.mark.parametrize("of", ["b1", "locker", "b1+~f1"])
def test_a_reading_is_of_a_part_a_place_or_a_run(of: str) -> None:
    assert case(f"readings: {{r: {{what: current, value: 4 A, of: {of}}}}}\ndc: [b1+ = f1]\n").readings


def test_a_change_is_checked_and_leaves_the_case_as_found() -> None:
    its = case("changed: [{at: '10:40', set: {b1.chemistry: AGM, b1.bms: inside}}]\n")
    assert its.parts["b1"].word("chemistry") == "LFP"
    assert its.parts["b1"].word("bms") is None


def test_a_name_given_twice_does_not_hide_the_other_mistakes() -> None:
    told = refused("habits: {night_hours: long}\ndc_volts: 12 V\ndc_volts: 12\n")
    assert [line.split(": expected")[0] for line in told] == [
        "c.yaml:7:23: habits.night_hours",
        "c.yaml:9:1: dc_volts",
        "c.yaml:9:13: dc_volts",
    ]


def test_a_name_given_twice_is_a_mistake_by_itself() -> None:
    assert len(refused("dc_volts: 12 V\ndc_volts: 12 V\n")) == 1


# -- names -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["b1", "mains", "hull.aft"])
def test_a_place_has_a_name_of_its_own(name: str) -> None:
    expected = "a name without a full stop that nothing else has"
    found = refused(f"  {name}: {{sort: bilge}}\n")
    assert found == [f"c.yaml:7:3: places.{name}: expected {expected}, found '{name}'"]


def test_no_two_inputs_of_a_case_share_a_path() -> None:
    its = load(cases_root() / "heron.yaml")
    sheets = [*its.parts.values(), *its.places.values(), its.habits, its.surroundings, its.mains]
    sheets += [hop.sheet for hop in its.hops.values() if hop.sheet]
    leaves = {leaf for sheet in sheets for leaf in sheet.leaves.values()}
    paths = [leaf.path for leaf in (*leaves, *(feed.choice for feed in its.feeds))]
    assert sorted(set(paths)) == sorted(paths)


# -- mistakes --------------------------------------------------------------------------------------------


def test_mistakes_of_all_blocks_come_at_once() -> None:
    found = refused("region: Mars\nhabits: {nights_away: lots}\ndc: [b1+ = b9+]\nac: [b1 > f1]\n")
    assert [line.split(": ")[1] for line in found] == ["region", "habits.nights_away", "dc.1", "ac.1", "ac.1"]


def test_a_block_with_a_mistake_of_shape_does_not_hide_the_others() -> None:
    assert len(refused("x.y: 1\nreadings: [a]\nwishes: {a: b}\ndc_volts: 12\n")) == 4


def test_without_all_parts_nothing_else_is_called_missing() -> None:
    with pytest.raises(Unusable) as caught:
        load_text("case: c\nparts: [b1]\ndc: [b1+ = b2+]\n", "c.yaml")
    assert len(caught.value.problems) == 1


# Whatever a person writes, the answer is a case or a list of places to mend, never a crash.

NAMES = st.sampled_from(
    [
        *("case", "parts", "dc", "ac", "readings", "answers", "alike", "places", "distances", "changed"),
        *("habits", "mains", "looked_for", "complaints", "photos", "b1", "bank", "kind", "of", "what"),
        *("value", "about"),
        *("answer", "set", "is", "from", "run", "feed", "size", "b1+ = b2+", "b1 to bank", "says"),
        *("symptom", "capacity"),
    ]
)
WORDS = st.sampled_from(
    [
        *("", "?", "battery", "bank", "b1", "b1 b2", "b1 = b1", "a | b > c", "4 m", "at least 4 A (label)"),
        *("(said)", "voltage", "shown", "unknown", "yes", "b1.capacity", "mains.rcd", "6 mm2, 1 m", "2..1"),
        *("other", "all"),
    ]
)


@st.composite
def written(draw: st.DrawFn, depth: int) -> str:
    sort = draw(st.sampled_from(["text", "names", "names", "list"])) if depth else "text"
    if sort == "text":
        return quote(draw(WORDS))
    inside = written(depth=depth - 1)
    if sort == "list":
        return "[" + ", ".join(draw(st.lists(inside, max_size=3))) + "]"
    names = draw(st.lists(NAMES, unique=True, max_size=4))
    return "{" + ", ".join(f"{quote(name)}: {draw(inside)}" for name in names) + "}"


@given(st.dictionaries(NAMES, written(depth=3), max_size=6))
def test_any_file_is_a_case_or_unusable(blocks: dict[str, str]) -> None:
    text = "case: c\n" + "".join(
        f"{quote(name)}: {value}\n" for name, value in blocks.items() if name != "case"
    )
    lines = text.splitlines()
    try:
        load_text(text, "c.yaml")
    except Unusable as unusable:
        for each in unusable.problems:
            assert 1 <= each.spot.column <= len(lines[each.spot.line - 1]) + 1
