"""Facts from readings: one instant, as found, and only as far as a reading can be trusted."""

import pytest

from ringout.case.load import load_text
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Span
from ringout.quantity.traced import domain_of

PARTS = """\
b1: {kind: battery, chemistry: LFP, nominal: 24 V, capacity: 150 Ah, usable: 80 %}
b2: {kind: battery, chemistry: LFP, nominal: 24 V, capacity: 150 Ah}
inv: {kind: inverter, efficiency: 92 %, idle: 20 W}
chg: {kind: mains_charger, efficiency: 92 %}
pump: {kind: dc_load}"""
ONE = "\n".join(line for line in PARTS.splitlines() if not line.startswith("b2"))


def text(parts: str, readings: str, dc: str = "", more: str = "") -> str:
    rows = ["case: the reed barge", "dc_volts: 24 V", "parts:", *(f"  {line}" for line in parts.splitlines())]
    rows += ["dc:", *(f"  - {line}" for line in dc.splitlines())] if dc else []
    rows += ["readings:", *(f"  {line}" for line in readings.splitlines())]
    return "\n".join([*rows, more])


def facts(parts: str, readings: str, dc: str = "", more: str = "") -> dict[str, Fact]:
    return {fact.id: fact for fact in gather(load_text(text(parts, readings, dc, more), "barge.yaml"))}


def span(made: dict[str, Fact], id: str, name: str) -> tuple[float, float]:
    domain = domain_of(made[id].values[name])
    assert isinstance(domain, Span)
    return domain.lo, domain.hi


LOOP = """\
into: {what: current, value: 31 A, of: inv, set: noon, state: away}
back: {what: current, value: 18 A, of: chg, set: noon}
volts_in: {what: voltage, value: 25.4 V, of: inv, set: noon}
volts_back: {what: voltage, value: 27.0 V, of: chg, set: noon}"""
READ = "loop_reading(chg, inv, b1, noon)"


def test_a_loop_is_read_off_two_clamps_at_one_instant() -> None:
    made = facts(ONE, LOOP)
    assert span(made, READ, "net") == (13, 13)
    # 120 Ah may be used: 9 h 14 min at 13 A
    assert span(made, READ, "hours") == pytest.approx((33230.8, 33230.8), rel=1e-4)
    explained = 18 * 27.0 / (25.4 * 0.92 * 0.92) + 20 / 25.4
    assert span(made, READ, "explained") == pytest.approx((explained, explained))
    assert span(made, READ, "elsewhere") == pytest.approx((31 - explained, 31 - explained))
    watts = (31 - explained) * 25.4
    assert span(made, READ, "elsewhere_power") == pytest.approx((watts, watts))


def test_without_volts_the_usual_ones_are_taken() -> None:
    made = facts(ONE, "\n".join(LOOP.splitlines()[:2]))
    low, high = span(made, READ, "explained")
    assert low < 18 * 27.0 / (25.4 * 0.92 * 0.92) + 20 / 25.4 < high


@pytest.mark.parametrize("read", ["0 V", "0..25 V", "-1 V"])
@pytest.mark.parametrize("where", ["volts_in", "volts_back"])
def test_volts_that_nothing_runs_on_are_not_reckoned_with(where: str, read: str) -> None:
    usual = facts(ONE, "\n".join(line for line in LOOP.splitlines() if not line.startswith(where)))
    volts = {"volts_in": "25.4 V", "volts_back": "27.0 V"}[where]
    made = facts(ONE, LOOP.replace(volts, read))
    for name in ("explained", "elsewhere", "elsewhere_power"):
        assert span(made, READ, name) == span(usual, READ, name)


def test_doubtful_volts_are_not_reckoned_with() -> None:
    usual = facts(ONE, "\n".join(line for line in LOOP.splitlines() if not line.startswith("volts_in")))
    made = facts(ONE, LOOP.replace("value: 25.4 V, of: inv", "value: 25.4 V, of: inv, steady: no"))
    assert span(made, READ, "explained") == span(usual, READ, "explained")


def test_readings_of_two_instants_are_never_subtracted() -> None:
    assert READ not in facts(ONE, LOOP.replace("of: chg, set: noon", "of: chg, set: dusk"))
    assert READ not in facts(ONE, LOOP.replace(", set: noon", ""))


def test_what_was_read_on_shore_or_nobody_says_where_is_no_loop() -> None:
    assert READ not in facts(ONE, LOOP.replace("state: away", "state: shore"))
    assert READ not in facts(ONE, LOOP.replace(", state: away", ""))


def test_a_battery_that_loses_nothing_never_goes_flat() -> None:
    for back in ("31 A", "33 A"):
        made = facts(ONE, LOOP.replace("18 A", back))
        assert span(made, READ, "hours") == (float("inf"), float("inf"))


JOINED = "b1+ = b2+\nb1- = b2-\nb1 = pump"
CLAMPED = "one: {what: current, value: 140 A, of: b1, set: pull}\n"
CLAMPED += "two: {what: current, value: %s, of: b2, set: pull}"


def test_shares_are_read_off_clamps_on_all_batteries_at_one_instant() -> None:
    made = facts(PARTS, CLAMPED % "40 A", JOINED)
    assert span(made, "share_reading(b1, b1, pull)", "ratio") == pytest.approx((280 / 180, 280 / 180))
    assert span(made, "share_reading(b1, b2, pull)", "ratio") == pytest.approx((80 / 180, 80 / 180))


@pytest.mark.parametrize("other", ["-40 A", "-140 A", "0..40 A"])
def test_currents_against_each_other_have_no_parts(other: str) -> None:
    made = facts(PARTS, CLAMPED % other, JOINED)
    assert not [id for id in made if id.startswith("share_reading")]


@pytest.mark.parametrize("more", ["", "\ntotal: {what: current, value: 300 A, of: house, set: pull}"])
def test_shares_in_doubt_are_open_with_what_they_would_be(more: str) -> None:
    """One jumped, or they do not make the total that was read with them."""
    parts = PARTS + "\nhouse: {kind: bank, of: b1 b2}"
    made = facts(parts, CLAMPED % ("40 A" if more else "40 A, steady: no") + more, JOINED)
    ratio = made["share_reading(house, b1, pull)"].values["ratio"]
    assert isinstance(ratio, Leaf) and not ratio.known
    assert isinstance(ratio.suggests, Span) and ratio.suggests.lo == pytest.approx(280 / 180)
    total = more.replace("300 A", "181 A")
    assert span(facts(parts, CLAMPED % "40 A" + total, JOINED), "share_reading(house, b1, pull)", "ratio") == (
        pytest.approx((280 / 180, 280 / 180))
    )


def test_shares_while_charging_count_alike() -> None:
    made = facts(PARTS, (CLAMPED % "-40 A").replace("140 A", "-120 A"), JOINED)
    assert span(made, "share_reading(b1, b1, pull)", "ratio") == pytest.approx((1.5, 1.5))


def test_a_capacity_test_is_set_against_the_label() -> None:
    made = facts(ONE, "test: {what: capacity, value: 144 Ah, of: b1}")
    assert span(made, "capacity_reading(b1, test)", "left") == pytest.approx((0.96, 0.96))


def test_what_a_quiet_bank_gives() -> None:
    quiet = 'leak: {what: current, value: 3.1 A, of: b1, state: "%s"}'
    made = facts(ONE, quiet % "everything off")
    assert span(made, "quiet_draw(b1, leak)", "current") == (3.1, 3.1)
    assert "quiet_draw(b1, leak)" not in facts(ONE, quiet % "pump on")
    at_a_load = (quiet % "everything off").replace("of: b1", "of: pump")
    assert not [id for id in facts(ONE, at_a_load) if id.startswith("quiet_draw")]


def test_a_drop_is_brought_to_12_v() -> None:
    made = facts(ONE, "dip: {what: drop, value: 0.8 V, of: pump, set: noon}")
    assert span(made, "drop_reading(pump, b1, dip)", "drop") == (0.8, 0.8)
    assert span(made, "drop_reading(pump, b1, dip)", "drop_12") == pytest.approx((0.4, 0.4))


def test_a_doubtful_reading_leaves_the_loop_open() -> None:
    low, high = span(
        facts(ONE, LOOP.replace("state: away}", "state: away, steady: no}", 1)), READ, "net"
    )
    assert low < 0 < high


def test_a_capacity_test_is_set_against_what_is_printed_whatever_was_read() -> None:
    again = "\nagain: {what: capacity, value: 102 Ah, repeats: test}"
    made = facts(ONE, "test: {what: capacity, value: 100 Ah, of: b1}" + again)
    assert span(made, "capacity_reading(b1, test)", "printed") == (150, 150)
    assert span(made, "capacity_reading(b1, test)", "left") == pytest.approx((100 / 150, 102 / 150))
    bare = facts(ONE.replace("capacity: 150 Ah, ", ""), "test: {what: capacity, value: 100 Ah, of: b1}")
    assert span(bare, "capacity_reading(b1, test)", "printed") == (1, 3000)


def test_more_than_is_printed_is_a_surprise_until_it_was_repeated() -> None:
    test = "test: {what: capacity, value: %s, of: b1}"
    assert span(facts(ONE, test % "160 Ah"), "capacity_reading(b1, test)", "left")[0] > 1
    low, high = span(facts(ONE, test % "190 Ah"), "capacity_reading(b1, test)", "left")
    assert low < 0 < high
    twice = test % "190 Ah" + "\nagain: {what: capacity, value: 192 Ah, repeats: test}"
    assert span(facts(ONE, twice), "capacity_reading(b1, test)", "left") == pytest.approx((190 / 150, 192 / 150))


LEAD = "b1 = pump : 10 mm2, 10 m"
PUMP = ONE.splitlines()[0] + "\npump: {kind: dc_load, current: 20 A}"


@pytest.mark.parametrize(
    ("drop", "beside", "known"),
    [
        ("0.8 V", "", True),
        # 20 m of 10 mm2 at 20 A lose 0.7 to 1 V
        ("2 V", "", False),
        ("0.2 V", "", True),  # with less current that is what they lose
        ("0.2 V", "amps: {what: current, value: 20 A, of: pump, set: noon}", False),
        ("0.8 V", "amps: {what: current, value: 20 A, of: pump, set: noon}", True),
        ("2 V", "again: {what: drop, value: 1.9 V, repeats: dip}", True),
        ("2 V", "again: {what: drop, value: 1 V, repeats: dip}", False),
    ],
)
def test_a_drop_that_its_cable_cannot_lose_is_a_surprise(drop: str, beside: str, known: bool) -> None:
    made = facts(PUMP, f"dip: {{what: drop, value: {drop}, of: pump, set: noon}}\n" + beside, LEAD)
    leaf = made["drop_reading(pump, b1, dip)"].values["drop"]
    assert isinstance(leaf, Leaf) and leaf.known is known
    assert [id for id in made if id.startswith("drop_reading")] == ["drop_reading(pump, b1, dip)"]
