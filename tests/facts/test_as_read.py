"""What readings make of what was stated: repeated they outrank it, once they only raise a doubt."""

import pytest

from ringout.case.case import Case
from ringout.case.form import form, part_kinds, sheet
from ringout.case.load import load_text
from ringout.facts.as_read import as_read, spoken
from ringout.physics.circuit import internal_ohm
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import domain_of


def case(parts: str, readings: str) -> Case:
    rows = ["case: the crane hide", "parts:", *(f"  {row}" for row in parts.splitlines())]
    return load_text("\n".join([*rows, "readings:", *(f"  {row}" for row in readings.splitlines())]), "hide.yaml")


def leaf(parts: str, readings: str, path: str, apart: frozenset[str] = frozenset()) -> Leaf:
    part, _, field = path.partition(".")
    return as_read(case(parts, readings), apart).parts[part].leaf(field)


def words(*options: str) -> Choice:
    return Choice(frozenset(options))


BATTERY = "b1: {kind: battery, capacity: %s}"
TEST = "test: {what: capacity, value: 140 Ah, of: b1}"
AGAIN = "\nagain: {what: capacity, value: 138 Ah, repeats: test}"


def test_twice_read_outranks_a_label() -> None:
    its = leaf(BATTERY % "200 Ah (label)", TEST + AGAIN, "b1.capacity")
    assert (its.domain, its.origin, its.path) == (Span(138.0, 140.0), Origin.MEASURED, "readings.test")
    assert its.spot is not None and its.spot.line == 5
    assert its.stated is not None and (its.stated.domain, its.stated.origin) == (Span(200.0, 200.0), Origin.LABEL)
    assert its.note == "read twice: 140 Ah (line 5), 138 Ah (line 6)"


def test_once_read_leaves_open_what_it_contradicts_and_keeps_what_was_said_as_showing_faults() -> None:
    its = leaf(BATTERY % "200 Ah (label)", TEST, "b1.capacity")
    assert (its.domain, its.word, its.origin) == (Span(140.0, 200.0), Span(200.0, 200.0), Origin.LABEL)
    assert its.doubt is not None and its.doubt.path == "readings.test" and its.suggests == Span(140.0, 140.0)


@pytest.mark.parametrize("more", [", steady: no", ""])
def test_what_jumped_or_does_not_add_up_is_no_better(more: str) -> None:
    apart = frozenset() if more else frozenset({"test"})
    its = leaf(BATTERY % "200 Ah (label)", TEST.replace("}", more + "}"), "b1.capacity", apart)
    assert its.domain == Span(140.0, 200.0)
    bare = leaf("b1: {kind: battery}", TEST.replace("}", more + "}"), "b1.capacity", apart)
    assert not bare.known and bare.doubt is not None and bare.domain == Span(1.0, 3000.0)


def test_once_read_stands_in_where_nobody_said_anything() -> None:
    for parts in ("b1: {kind: battery}", BATTERY % "200 Ah (assumed)", BATTERY % "unknown"):
        its = leaf(parts, TEST, "b1.capacity")
        assert its.known and its.domain == Span(140.0, 140.0)


def test_once_read_and_borne_out_changes_nothing() -> None:
    its = leaf(BATTERY % "150 Ah (label)", TEST, "b1.capacity")
    assert (its.domain, its.path, its.doubt) == (Span(150.0, 150.0), "b1.capacity", None)


def test_repeats_that_disagree_leave_it_open() -> None:
    its = leaf(BATTERY % "200 Ah (label)", TEST + AGAIN.replace("138", "100"), "b1.capacity")
    assert its.doubt is not None and its.domain == Span(140.0, 200.0)


def test_a_trial_is_no_repeat_of_what_was_found() -> None:
    its = leaf(BATTERY % "200 Ah (label)", TEST + AGAIN.replace("repeats", "round: trial, repeats"), "b1.capacity")
    assert its.doubt is not None


def test_a_battery_alike_keeps_its_label() -> None:
    parts = "\n".join((BATTERY % "200 Ah (label)").replace("b1", name) for name in ("b1", "b2"))
    made = as_read(load_text(case(parts, TEST + AGAIN).document.text + "\nalike: [b1 b2]", "hide.yaml"))
    assert made.parts["b2"].leaf("capacity").domain == Span(200.0, 200.0)
    assert made.parts["b1"].leaf("capacity").domain == Span(138.0, 140.0)


def test_a_single_reading_of_a_bank_does_not_speak_for_its_batteries() -> None:
    parts = "house: {kind: bank, of: b1}\n" + BATTERY % "200 Ah (label)"
    once = TEST.replace("of: b1", "of: house")
    assert not leaf(parts, once, "house.capacity").known
    assert leaf(parts, once + AGAIN, "house.capacity").domain == Span(138.0, 140.0)


def test_two_repeated_readings_that_disagree_leave_it_open() -> None:
    rows = ["a: {what: capacity, value: 140 Ah, of: b1, state: warm}", "b: {what: capacity, value: 141 Ah, repeats: a}"]
    rows += ["c: {what: capacity, value: 90 Ah, of: b1, state: cold}", "d: {what: capacity, value: 91 Ah, repeats: c}"]
    its = leaf(BATTERY % "200 Ah (label)", "\n".join(rows), "b1.capacity")
    assert (its.domain, its.doubt is not None) == (Span(90.0, 141.0), True)
    assert its.as_stated.domain == Span(200.0, 200.0)


def test_a_worn_battery_is_no_smaller_than_what_is_printed_on_it() -> None:
    """Its usual internal resistance, and with it the current of a dead short, goes by its size."""
    chemistry = "b1: {kind: battery, chemistry: AGM, nominal: 12 V%s}"
    parts, rows = chemistry % ", capacity: 200 Ah", TEST.replace("140", "50") + AGAIN.replace("138", "51")
    printed = domain_of(internal_ohm(case(parts, rows).parts["b1"]))
    assert domain_of(internal_ohm(as_read(case(parts, rows)).parts["b1"])) == printed
    # Where nothing is printed, what it holds tells its size.
    bare = domain_of(internal_ohm(as_read(case(chemistry % "", rows)).parts["b1"]))
    assert bare != printed and bare != domain_of(internal_ohm(case(chemistry % "", rows).parts["b1"]))


# -- in which state, at which points -------------------------------------------------------------------------

LOAD = "pump: {kind: dc_load, current: 7 A (label)}\nbilge_pump: {kind: dc_load, current: 7 A (label)}"
AMPS = "a: {what: current, value: %s, of: pump, %s}\nb: {what: current, value: %s, repeats: a}"


@pytest.mark.parametrize(
    ("state", "counts"),
    [
        ("state: pump running", True),
        ('state: "away, pump running"', True),
        ("loads: pump", True),
        ('loads: "fan, pump"', True),
        ("state: bilge pump running", False),
        ("loads: bilge_pump", False),
        ("state: everything off", False),
        ("set: noon", False),
    ],
)
def test_a_current_speaks_of_a_load_while_that_load_runs(state: str, counts: bool) -> None:
    its = leaf(LOAD, AMPS % ("4.1 A", state, "4 A"), "pump.current")
    assert (its.domain == Span(4.0, 4.1)) is counts
    assert counts or its.domain == Span(7.0, 7.0)


@pytest.mark.parametrize("read", ["-4 A", "0 A"])
def test_what_the_field_cannot_be_is_not_read_into_it(read: str) -> None:
    assert leaf(LOAD, AMPS % (read, "loads: pump", read), "pump.current").domain == Span(7.0, 7.0)


def test_of_several_loads_written_as_one_nobody_knows_how_many_were_read() -> None:
    several = LOAD.replace("current", "count: 3, current")
    assert leaf(several, AMPS % ("4 A", "loads: pump", "4 A"), "pump.current").domain == Span(7.0, 7.0)


@pytest.mark.parametrize(
    ("read", "again", "ends"),
    [
        ("5 A", "", None),  # 60 W at 12 V
        ("6 A", "", None),  # the same with the battery low
        ("9 A", "", (4.0, 9.0)),  # 4 to 6.25 A by its label
        ("2 A", "", (2.0, 6.25)),
        ("9 A", "8.9 A", (8.9, 9.0)),
    ],
)
def test_a_load_that_states_its_watts_is_not_silent(read: str, again: str, ends: tuple[float, float] | None) -> None:
    parts = "pump: {kind: dc_load, power: 60 W (label)}"
    rows = f"a: {{what: current, value: {read}, of: pump, loads: pump}}"
    rows += f"\nb: {{what: current, value: {again}, repeats: a}}" if again else ""
    made = as_read(load_text(f"dc_volts: 12 V\n{case(parts, rows).document.text}", "hide.yaml"))
    its = made.parts["pump"].leaf("current")
    assert its.known is (ends is not None)
    if ends is not None:
        assert isinstance(its.domain, Span) and (its.domain.lo, its.domain.hi) == pytest.approx(ends)
        assert its.stated is not None and its.stated.text == "60 W (label)"
    bare = as_read(case(parts, "a: {what: current, value: 5 A, of: pump, loads: pump}"))
    assert not bare.parts["pump"].leaf("current").read


def test_volts_of_a_charger_speak_of_the_stage_that_it_is_in() -> None:
    charger = "chg: {kind: mains_charger, absorption: 14.4 V (display), float: 13.5 V (display)}"
    rows = 'a: {what: voltage, value: 14.9 V, of: chg, state: "on shore, absorption"}'
    rows += "\nb: {what: voltage, value: 15 V, repeats: a}"
    assert leaf(charger, rows, "chg.absorption").domain == Span(14.9, 15.0)
    assert leaf(charger, rows, "chg.float").domain == Span(13.5, 13.5)
    # What the maker of a battery asks for is not what it gets.
    maker = "b1: {kind: battery, absorption: 14.4 V (manual)}"
    assert leaf(maker, rows.replace("of: chg", "of: b1"), "b1.absorption").domain == Span(14.4, 14.4)


def test_watts_of_an_inverter_speak_of_its_idle_draw_with_nothing_on() -> None:
    rows = "a: {what: power, value: 31 W, of: inv, state: %s}\nb: {what: power, value: 30 W, repeats: a}"
    inverter = "inv: {kind: inverter, idle: 12 W (manual)}"
    assert leaf(inverter, rows % "nothing on", "inv.idle").domain == Span(30.0, 31.0)
    assert leaf(inverter, rows % "kettle on", "inv.idle").domain == Span(12.0, 12.0)


# -- protective measures -------------------------------------------------------------------------------------


def polarity(stated: str, *read: str) -> Leaf:
    parts = "out: {kind: outlet%s}" % (f", polarity: {stated}" if stated else "")
    again = ("", ", repeats: r0", ", repeats: r0")
    rows = [f"r{n}: {{what: polarity, value: {word}, of: out{again[n]}}}" for n, word in enumerate(read)]
    return leaf(parts, "\n".join(rows), "out.polarity")


@pytest.mark.parametrize(
    ("stated", "read", "domain"),
    [
        ("right", ["reversed"], words("reversed")),
        ("", ["reversed"], words("reversed")),
        ("reversed", ["right"], words("reversed")),
        ("reversed", ["right", "right"], words("right")),
        ("", ["right"], words("right")),
        ("right", ["reversed", "right"], words("right", "reversed")),
        ("right", ["reversed", "right", "right"], words("right")),
        ("not_fixed", ["reversed"], words("not_fixed")),
    ],
)
def test_a_bad_test_counts_at_once_and_stands_until_repeats_clear_it(
    stated: str, read: list[str], domain: Domain
) -> None:
    assert polarity(stated, *read).domain == domain


def test_an_open_earth_is_believed_and_lamps_that_are_right_prove_none() -> None:
    parts = "out: {kind: outlet, earth: proven (measured), polarity: right (measured)}"
    row = "r: {what: polarity, value: %s, of: out}"
    assert leaf(parts, row % "open_earth", "out.earth").domain == words("broken")
    assert leaf(parts, row % "open_earth", "out.polarity").domain == words("right")
    assert leaf("out: {kind: outlet}", row % "right", "out.earth").domain == words("proven", "not_proven", "broken")
    assert leaf("post: {kind: shore_supply, neutral: sound (measured)}",
                (row % "open_neutral").replace("out", "post"), "post.neutral").domain == words("open")  # fmt: skip


def test_a_bad_result_in_one_state_is_not_cleared_by_good_ones_in_another() -> None:
    rows = "\n".join(
        [
            "a: {what: polarity, value: right, of: out, state: on shore}",
            "b: {what: polarity, value: right, repeats: a}",
            "c: {what: polarity, value: reversed, of: out, state: inverter on}",
        ]
    )
    assert leaf("out: {kind: outlet}", rows, "out.polarity").domain == words("reversed")


@pytest.mark.parametrize(
    ("stated", "read", "ends"),
    [
        ("0.3 ohm (measured)", ["0.9 ohm"], (0.9, 0.9)),
        ("0.9 ohm (measured)", ["0.3 ohm"], (0.9, 0.9)),
        ("0.9 ohm (measured)", ["0.3 ohm", "0.32 ohm"], (0.3, 0.32)),
        ("unknown", ["0.3 ohm"], (0.3, 0.3)),
    ],
)
def test_ohms_of_an_earth_that_are_worse_count_at_once(stated: str, read: list[str], ends: tuple[float, float]) -> None:
    rows = [
        f"r{n}: {{what: resistance, value: {ohm}, of: inlet, points: earth pin}}"
        if not n
        else f"r{n}: {{what: resistance, value: {ohm}, repeats: r0}}"
        for n, ohm in enumerate(read)
    ]
    its = leaf(f"inlet: {{kind: inlet, earth_ohm: {stated}}}", "\n".join(rows), "inlet.earth_ohm")
    assert isinstance(its.domain, Span) and (its.domain.lo, its.domain.hi) == ends
    elsewhere = "\n".join(rows).replace("earth pin", "pin lid")
    assert not leaf(f"inlet: {{kind: inlet, earth_ohm: {stated}}}", elsewhere, "inlet.earth_ohm").read


def test_an_rcd_that_trips_late_counts_and_one_that_trips_early_changes_no_label() -> None:
    row = "r: {what: trip_current, value: %s, of: rcd}\nagain: {what: trip_current, value: %s, repeats: r}"
    for stated, read, ends in (("30 mA (label)", "45 mA", (0.045, 0.045)), ("300 mA (label)", "25 mA", (0.3, 0.3)),
                               ("unknown", "45 mA", (0.045, 1.0))):  # fmt: skip
        its = leaf(f"rcd: {{kind: rcd, trip: {stated}}}", row % (read, read), "rcd.trip")
        assert isinstance(its.domain, Span) and (its.domain.lo, its.domain.hi) == ends


def test_an_owner_who_cannot_know_it_is_outranked_only_by_repeats() -> None:
    said = "out: {kind: outlet, polarity: reversed (said)}"
    row = "r: {what: polarity, value: right, of: out}"
    once = leaf(said, row, "out.polarity")
    assert not once.known and once.word == words("reversed")
    assert leaf(said, row + "\nb: {what: polarity, value: right, repeats: r}", "out.polarity").domain == words("right")


# -- the knowledge -------------------------------------------------------------------------------------------


def test_every_field_that_a_reading_speaks_of_is_one_and_of_the_same_dimension() -> None:
    for name, kind in sheet("reading").fields.items():
        assert kind.free_text or kind.options or kind.agrees > 0, name
        assert kind.free_text or kind.ask, name
        for says in kind.speaks_of:
            of = [form(each) for each in part_kinds() if not form(each).roles.isdisjoint(says.of)]
            fields = [each.fields[says.field] for each in of if says.field in each.fields]
            assert fields, (name, says.field)
            for field in fields:
                assert field.dimension == kind.dimension
                heard = {dict(says.words).get(word, word) for word in (dict(says.words) or kind.options)}
                assert not field.options or heard & set(field.options), (name, says.field)
                assert says.worse in ("", "more", *field.options)
            roles = {role for each in part_kinds() for role in form(each).roles}
            assert says.of <= roles


def test_a_reading_speaks_of_nothing_where_it_names_no_part() -> None:
    made = case(BATTERY % "200 Ah", "test: {what: capacity, value: 140 Ah}")
    assert [*spoken(made, made.readings[0])] == []
    unread = case(BATTERY % "200 Ah", "test: {what: temperature, value: 20 C, of: b1}")
    assert as_read(unread).parts["b1"].leaf("capacity") is unread.parts["b1"].leaf("capacity")
