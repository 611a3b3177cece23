"""How far a reading can be trusted: as found, with its repeats, and against what is stated or worked out."""

import pytest

from ringout.case.case import Taken
from ringout.case.load import load_text
from ringout.facts.trust import above, as_found, fits, hull, near, trusted
from ringout.quantity.leaf import Origin
from ringout.quantity.span import Choice, Span


def text(rows: str, more: str = "") -> str:
    parts = ["parts:", "  b1: {kind: battery}", "  inv: {kind: inverter}", "  out: {kind: outlet}"]
    return "\n".join(["case: the reed barge", *parts, "readings:", *(f"  {row}" for row in rows.splitlines()), more])


def readings(rows: str) -> list[Taken]:
    return load_text(text(rows), "barge.yaml").readings


FIRST = "first: {what: current, value: 31 A, of: inv%s}"
AGAIN = "\nagain: {what: current, value: %s, repeats: first}"


@pytest.mark.parametrize(
    ("rows", "known"),
    [
        (FIRST % "", True),
        (FIRST % ", steady: yes", True),
        (FIRST % ", steady: no", False),
        (FIRST % "" + AGAIN % "25 A", False),
        (FIRST % "" + AGAIN % "30 A", True),
        (FIRST % ", steady: no" + AGAIN % "30 A", True),
        (FIRST % ", steady: no" + AGAIN % "30 A, steady: no", False),
        (FIRST % ", steady: no" + AGAIN % "unknown", False),
        (FIRST % "" + AGAIN % "unknown", True),
    ],
)
def test_a_doubtful_reading_settles_nothing_until_repeated(rows: str, known: bool) -> None:
    every = readings(rows)
    leaf = trusted(every)[0].value
    assert leaf.known is known
    if not known:
        assert (leaf.hint, leaf.origin) == (Span(31.0, 31.0), Origin.ASSUMED)
        assert isinstance(leaf.domain, Span) and leaf.domain.lo < 0 < leaf.domain.hi


def test_only_readings_before_the_first_change_speak_of_the_case_as_found() -> None:
    rows = """\
early: {what: voltage, value: 27 V, of: b1, at: "10:05"}
late: {what: voltage, value: 27 V, of: b1, at: "11:10"}
trial: {what: voltage, value: 27 V, of: b1, at: "10:06", round: trial}
undated: {what: voltage, value: 27 V, of: b1}"""
    changed = 'changed:\n  - {at: "10:40", what: set to lithium}'
    names = [taken.name for taken in as_found(load_text(text(rows, changed), "barge.yaml"))]
    assert names == ["early", "undated"]
    # Nine o'clock is before twenty to eleven, though "9" is sorted behind "1" as text.
    short = load_text(text(rows.replace("10:05", "9:05"), changed), "barge.yaml")
    assert [taken.name for taken in as_found(short)] == names
    unchanged = as_found(load_text(text(rows), "barge.yaml"))
    assert [taken.name for taken in unchanged] == ["early", "late", "undated"]


@pytest.mark.parametrize(
    ("rows", "span"),
    [
        (FIRST % "", None),
        (FIRST % "" + AGAIN % "30 A", (30, 31)),
        (FIRST % "" + AGAIN % "33 A", (31, 33)),
        (FIRST % ", steady: no" + AGAIN % "30 A", None),
        (FIRST % "" + AGAIN % "30 A, steady: no", None),
        (FIRST % "" + AGAIN % "25 A", None),
        # what nobody could read is no repeat, and two that both jumped are none either
        (FIRST % "" + AGAIN % "unknown", None),
        (FIRST % ", steady: no" + AGAIN % "30 A, steady: no", None),
        # two of three agree, whichever they are, in any order
        (FIRST % "" + AGAIN % "25 A" + "\nthird: {what: current, value: 30 A, repeats: first}", (30, 31)),
        (FIRST % "" + AGAIN % "25 A" + "\nthird: {what: current, value: 25.5 A, repeats: again}", (25, 25.5)),
        ("third: {what: current, value: 30 A, repeats: again}\n" + FIRST % "" + AGAIN % "25 A", (30, 31)),
        # two against two
        (
            FIRST % "" + AGAIN % "25 A" + "\nc: {what: current, value: 30 A, repeats: first}"
            "\nd: {what: current, value: 25 A, repeats: first}",
            None,
        ),
        # the instruments are said to be that good: 31 A and 30 A are then not the same
        (FIRST % ", within: 1 %" + AGAIN % "30 A, within: 1 %", None),
        (FIRST % ", within: 2 %" + AGAIN % "30 A, within: 2 %", (29.4, 31.62)),
    ],
)
def test_a_reading_is_repeated_where_two_steady_ones_agree(rows: str, span: tuple[float, float] | None) -> None:
    [taken] = trusted(readings(rows))
    assert (taken.name, taken.repeated) == ("first", span is not None)
    if span is not None:
        assert isinstance(taken.value.domain, Span)
        assert (taken.value.domain.lo, taken.value.domain.hi) == pytest.approx(span)
        assert taken.value.note.startswith("read ")


def test_a_reading_that_does_not_add_up_is_in_doubt_until_repeated() -> None:
    [taken] = trusted(readings(FIRST % ""), {"first"})
    assert taken.value.doubt is not None and not taken.value.known
    [taken] = trusted(readings(FIRST % "" + AGAIN % "30 A"), {"first"})
    assert taken.repeated and taken.value.doubt is None


def test_words_in_doubt_are_open_between_all_that_can_be_read() -> None:
    [taken] = trusted(readings("p: {what: polarity, value: right, of: out, steady: no}"))
    assert taken.value.domain == Choice(frozenset({"right", "reversed", "open_earth", "open_neutral"}))
    assert taken.value.suggests == Choice(frozenset({"right"}))


def test_volts_agree_more_closely_than_amperes() -> None:
    rows = "v: {what: voltage, value: 12.7 V, of: b1}\nw: {what: voltage, value: %s, repeats: v}"
    assert trusted(readings(rows % "12.6 V"))[0].repeated
    assert not trusted(readings(rows % "12.2 V"))[0].repeated


def test_a_reading_fits_what_is_stated_within_its_class() -> None:
    [taken] = readings("t: {what: capacity, value: 140 Ah, of: b1}")
    assert fits(taken, Span(150.0, 150.0)) and not above(taken, Span(130.0, 130.0))
    assert not fits(taken, Span(200.0, 200.0)) and not above(taken, Span(200.0, 200.0))
    assert above(taken, Span(90.0, 100.0)) and not fits(taken, Span(90.0, 100.0))
    assert fits(taken, Span(90.0, 300.0))


def test_near_and_hull() -> None:
    assert near(Span(1.0, 2.0), Span(2.0, 3.0), 0.0) and not near(Span(1.0, 2.0), Span(2.1, 3.0), 0.0)
    hundred = Span(100.0, 100.0)
    assert near(hundred, Span(91.0, 91.0), 0.1) and not near(hundred, Span(-100.0, -100.0), 0.1)
    one, two = Choice(frozenset({"a"})), Choice(frozenset({"b"}))
    assert near(one, one, 0.0) and not near(one, two, 0.0) and not near(one, Span(1.0, 1.0), 1.0)
    assert hull([one, two]) == Choice(frozenset({"a", "b"}))
    assert hull([Span(1.0, 2.0), Span(4.0, 5.0)]) == Span(1.0, 5.0)
