"""One statement: its value, its origin, and what may be relied on of it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.case.form import Field, form, sheet
from ringout.case.statement import NOT_KNOWN, ORIGINS, NotAStatement, Stated, leaf, take_apart, unstated
from ringout.quantity.leaf import WEAK, Leaf, Origin
from ringout.quantity.span import Choice, Span
from ringout.text.document import read_text
from ringout.text.edit import quote
from ringout.text.problem import Spot, Unusable

BATTERY = form("battery").fields
CAPACITY, CHEMISTRY, COUNT = BATTERY["capacity"], BATTERY["chemistry"], BATTERY["count"]


def stated(written: str, default: Origin = Origin.SEEN) -> Stated:
    document = read_text(f"a: {written}", "c.yaml")
    return take_apart(document, ("a",), document.at(("a",)), default)


def made(written: str, field: Field, default: Origin = Origin.SEEN) -> Leaf:
    document = read_text(f"a: {written}", "c.yaml")
    return leaf(document, ("a",), document.at(("a",)), field, "b1.x", default)


def refused(written: str, field: Field) -> str:
    with pytest.raises(NotAStatement) as caught:
        made(written, field)
    return str(caught.value.problem)


# -- taking apart ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("300 A", Stated("300 A", Origin.SEEN)),
        ("300 A (label)", Stated("300 A", Origin.LABEL)),
        (
            "14.2 V (measured 2026-05-03 11:10)",
            Stated("14.2 V", Origin.MEASURED, at="2026-05-03 11:10"),
        ),
        ("unknown (said)", Stated("unknown", Origin.SAID)),
        ("'  4 m (said)'", Stated("4 m", Origin.SAID, offset=2)),
        ("{is: LFP}", Stated("LFP", Origin.SEEN)),
        (
            "{is: ' 4 m', from: manual, at: noon, state: rested, by: owner, note: page 3}",
            Stated("4 m", Origin.MANUAL, "noon", "rested", "owner", "page 3", offset=1),
        ),
    ],
)
def test_a_statement_is_taken_apart(written: str, said: Stated) -> None:
    assert stated(written) == said


def test_a_statement_without_an_origin_takes_that_of_its_surroundings() -> None:
    assert stated("4 m", Origin.SUPPOSED).origin is Origin.SUPPOSED
    assert stated("{is: 4 m}", Origin.SAID).origin is Origin.SAID
    assert stated("4 m (seen)", Origin.SUPPOSED).origin is Origin.SEEN


@pytest.mark.parametrize("origin", ORIGINS)
def test_every_origin_can_be_written_both_ways(origin: str) -> None:
    assert stated(f"4 m ({origin})").origin == stated(f"{{is: 4 m, from: {origin}}}").origin == Origin(origin)


def test_where_a_table_is_the_origin_nobody_stated_it() -> None:
    assert set(Origin) - set(map(Origin, ORIGINS)) == {Origin.TABLE, Origin.NOT_STATED}


# -- what may be relied on -------------------------------------------------------------------------------


def test_a_statement_is_relied_on() -> None:
    its = made("120 Ah (label)", CAPACITY)
    assert (its.domain, its.known, its.origin) == (Span(120, 120), True, Origin.LABEL)
    assert (its.text, its.spot, its.dimension) == ("120 Ah (label)", Spot("c.yaml", 1, 4), "charge")
    assert (its.source, its.hint, its.asked) == ("", None, False)


@pytest.mark.parametrize("origin", sorted(WEAK))
def test_what_is_assumed_or_supposed_is_a_hint_and_never_relied_on(origin: str) -> None:
    its = made(f"120 Ah ({origin})", CAPACITY)
    assert (its.domain, its.known, its.hint) == (CAPACITY.widest, False, Span(120, 120))
    assert (its.origin, its.source) == (Origin(origin), CAPACITY.bounds_source)


@pytest.mark.parametrize("name", ["earth", "rcd"])
def test_what_the_owner_cannot_know_is_kept_as_a_word_and_not_relied_on(name: str) -> None:
    field = form("outlet").fields[name]
    good = field.options[0]
    its = made(f"{good} (said)", field)
    assert (its.domain, its.known, its.hint, its.word) == (field.widest, False, None, Choice(frozenset({good})))
    assert (its.origin, its.asked) == (Origin.SAID, False)
    for origin in ("measured", "seen", "label", "manual"):
        its = made(f"{good} ({origin})", field)
        assert (its.known, its.word) == (True, None)
    assert made("12 A (said)", form("outlet").fields["rating"]).known


@pytest.mark.parametrize("word", [*sorted(NOT_KNOWN), "Unknown", "don’t know", "unknown (said)"])
@pytest.mark.parametrize("field", [CAPACITY, CHEMISTRY, COUNT], ids=lambda field: field.name)
def test_not_known_is_the_widest_and_was_asked(field: Field, word: str) -> None:
    its = made(quote(word), field)
    assert (its.domain, its.known, its.asked) == (field.widest, False, True)
    assert (its.origin, its.hint, its.source) == (Origin.NOT_STATED, None, field.bounds_source)


def test_what_nobody_mentioned_is_the_widest_and_was_not_asked() -> None:
    its = unstated("b1.capacity", CAPACITY, Spot("c.yaml", 3, 1))
    assert (its.domain, its.known, its.asked) == (Span(1, 3000), False, False)
    assert (its.source, its.spot) == (CAPACITY.bounds_source, Spot("c.yaml", 3, 1))


def test_what_was_taken_for_granted_is_noted() -> None:
    its = made("{is: about 100 Ah, note: rubbed off}", CAPACITY)
    assert its.domain == Span(85, 115)
    assert its.note == "about: 15 % either side, common practice, no source; rubbed off"
    assert (its.text, its.spot) == ("about 100 Ah", Spot("c.yaml", 1, 4))


# -- choices, counts, open ends --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "options"),
    [
        ("LFP", {"LFP"}),
        ("lfp", {"LFP"}),
        ("sealed flooded", {"sealed_flooded"}),
        ("AGM or gel", {"AGM", "gel"}),
        ("AGM|gel | LFP", {"AGM", "gel", "LFP"}),
        ("AGM or AGM (label)", {"AGM"}),
    ],
)
def test_a_choice_is_one_word_or_several(written: str, options: set[str]) -> None:
    assert made(written, CHEMISTRY).domain == Choice(frozenset(options))


@pytest.mark.parametrize(
    ("written", "domain"),
    [("2", Span(2, 2)), ("2..4", Span(2, 4)), ("2 to 4", Span(2, 4)), ("1 (said)", Span(1, 1))],
)
def test_a_count_is_whole(written: str, domain: Span) -> None:
    assert made(written, COUNT).domain == domain


def test_a_part_that_is_written_is_at_least_one() -> None:
    assert "expected a whole number above 0; leave out what is not there" in refused("0..4 (said)", COUNT)
    assert made("0", BATTERY["cycles"]).domain == Span(0, 0)


@pytest.mark.parametrize("written", ["-1", "2.5", "2..", "about 3", "9" * 400, "1 000", "٣"])
def test_what_is_no_count_is_refused(written: str) -> None:
    assert "expected a whole number, such as 2 or 2..4" in refused(written, COUNT)


def test_an_open_end_is_closed_by_the_bounds_of_the_field() -> None:
    assert made("at least 200 Ah", CAPACITY).domain == Span(200, 3000)
    assert made("at most 200 Ah", CAPACITY).domain == Span(1, 200)


def test_an_end_that_was_stated_is_never_changed() -> None:
    # Outside what is plausible: the writer may know better, and a narrower range would claim too much.
    assert made("at least 0.5 Ah", CAPACITY).domain == Span(0.5, 3000)
    assert made("at most 9000 Ah", CAPACITY).domain == Span(1, 9000)
    assert made("4000 Ah", CAPACITY).domain == Span(4000, 4000)


@pytest.mark.parametrize("written", ["0 Ah", "-5 Ah", "0..200 Ah", "-5..5 Ah", "0 Ah (assumed)"])
def test_what_can_never_be_nought_is_refused_at_nought(written: str) -> None:
    # Formulas divide by capacities, ratings and sizes; a nought there is a slip of the pen.
    assert "a: expected a charge above 0, or 'unknown', found" in refused(written, CAPACITY)


def test_what_can_be_nothing_may_be_nought() -> None:
    assert made("0 m", sheet("run").fields["length"]).domain == Span(0, 0)
    assert made("-5 C", form("battery").fields["charge_hottest"]).domain == Span(-5, -5)
    assert made("0 A", sheet("reading").fields["current"]).domain == Span(0, 0)


def test_an_open_end_beyond_the_bounds_asks_for_both_ends() -> None:
    assert refused("at least 4000 Ah", CAPACITY) == (
        "c.yaml:1:4: a: expected both ends of the range "
        "(the open upper end would be taken as 3000 Ah), found 'at least 4000 Ah'"
    )


# -- places of mistakes ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "field", "column"),
    [
        ("LFP or LPF or AGM", CHEMISTRY, 11),
        ("'LFP or LPF'", CHEMISTRY, 12),
        ("{is: AGM | LPF}", CHEMISTRY, 15),
        ("120", CAPACITY, 7),
        ("100..120 A", CAPACITY, 13),
        ("'  100 A'", CAPACITY, 11),
        ("120 Ah (lable)", CAPACITY, 12),
        ("{is: 120 Ah, from: lable}", CAPACITY, 23),
        ("{is: 120 Ah, form: label}", CAPACITY, 17),
        ("' two'", COUNT, 6),
    ],
)
def test_a_mistake_is_pointed_at_inside_the_text(written: str, field: Field, column: int) -> None:
    assert refused(written, field).startswith(f"c.yaml:1:{column}: ")


def test_a_statement_that_shares_its_text_is_pointed_at_too() -> None:
    document = read_text("a: 50 mm2, 0.2", "c.yaml")
    with pytest.raises(NotAStatement) as caught:
        leaf(document, ("a",), "0.2", sheet("run").fields["length"], "r.length", offset=8)
    assert caught.value.problem.spot == Spot("c.yaml", 1, 15)
    its = leaf(document, ("a",), "0.2 m", sheet("run").fields["length"], "r.length", offset=8)
    assert its.spot == Spot("c.yaml", 1, 12)


@pytest.mark.parametrize("field", [CAPACITY, CHEMISTRY, COUNT], ids=lambda field: field.name)
@given(text=st.text(max_size=30))
def test_any_text_is_a_leaf_or_a_problem(field: Field, text: str) -> None:
    try:
        document = read_text(f"a: {quote(text)}", "c.yaml")
    except Unusable:  # characters that no case file may hold
        return
    try:
        its = leaf(document, ("a",), text, field, "b1.x")
    except NotAStatement as fault:
        assert 4 <= fault.problem.spot.column <= len(document.text) + 1
        return
    assert its.known or its.domain == field.widest
