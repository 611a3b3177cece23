"""Facts with everything on: who draws what, where, and what that leaves. Numbers are worked out by hand."""

import pytest

from ringout.case.load import load_text
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.quantity.span import Span
from ringout.quantity.traced import domain_of, leaves_of


def facts(parts: str, dc: str, **more: str) -> dict[str, Fact]:
    rows = ["case: the hide on the dyke", "parts:", *(f"  {line}" for line in parts.strip().splitlines())]
    rows += ["dc:", *(f"  - {line}" for line in dc.strip().splitlines())]
    rows += [f"{key}: {value}" for key, value in more.items()]
    return {fact.id: fact for fact in gather(load_text("\n".join(rows), "hide.yaml"))}


def span(made: dict[str, Fact], id: str, name: str) -> tuple[float, float]:
    domain = domain_of(made[id].values[name])
    assert isinstance(domain, Span)
    return domain.lo, domain.hi


def current(made: dict[str, Fact], run: str, bank: str = "b1") -> tuple[float, float]:
    return span(made, f"run_current({run}, {bank})", "current")


def starting(made: dict[str, Fact], *types: str) -> list[str]:
    return [id for id in made if id.split("(")[0] in types]


# Copper at its best: 15 C, solid, clean lugs; and at its worst: 60 C, finely stranded, fair lugs.
BEST = 0.017241 * (1 - 0.00393 * 5)
BATTERY = "b1: {kind: battery, chemistry: LFP, nominal: 12 V, capacity: 200 Ah, internal: 2 mohm}"
INVERTER = "inv: {kind: inverter, rating: 1000 W, efficiency: 80 %}"
PUMP = "pump: {kind: dc_load, current: 4..6 A, behaves: motor, cutoff: 10.5 V}"
LAMP = "lamp: {kind: dc_load, current: 2 A, behaves: resistive}"
GEAR = f"{BATTERY}\nbars: {{kind: busbars}}\n{INVERTER}\n{PUMP}\n{LAMP}"
SHARED = "b1 = bars : 35 mm2, 1 m\nbars = inv : 35 mm2, 1 m\nbars = pump : 2.5 mm2, 4 m\nbars = lamp : 2.5 mm2, 2 m"
# LFP under load: 12.6 to 13.2 V, rested 13.0 to 13.4 V
FULL = (1000 / 13.2 / 0.8, 1000 / 12.6 / 0.8)

# -- the cases -----------------------------------------------------------------------------------------------


def test_with_everything_on_every_load_and_the_inverter_at_its_rating_draw() -> None:
    made = facts(GEAR, SHARED)
    assert current(made, "b1~bars") == pytest.approx((FULL[0] + 6, FULL[1] + 8))
    assert current(made, "bars~inv") == pytest.approx(FULL)
    assert current(made, "bars~pump") == (4, 6)
    assert current(made, "bars-~lamp-") == (2, 2)


def test_with_everything_on_a_load_gets_what_battery_and_shared_lead_leave() -> None:
    made = facts(GEAR, SHARED)
    total = FULL[0] + 6
    own = 4 * 2 * (BEST * 4 / 2.5 + 2 * 0.00005)
    feeders = total * 2 * (BEST / 35 + 2 * 0.00005) + own
    assert span(made, "load_volts(pump, b1)", "drop")[0] == pytest.approx(feeders)
    assert span(made, "load_volts(pump, b1)", "volts")[1] == pytest.approx(13.4 - total * 0.002 - feeders)
    left = span(made, "load_volts(pump, b1)", "left")
    assert left[1] == pytest.approx(1 - (total * 0.002 + feeders) / 13.4)


@pytest.mark.parametrize(
    ("amps", "metres", "mm2", "published"), [(20, 5, 10, 0.382), (20, 5, 16, 0.242), (10, 8, 2.5, 1.2768)]
)
def test_the_drop_of_one_load_holds_the_published_value(
    amps: float, metres: float, mm2: float, published: float
) -> None:
    # Source: Ohm's law with the maximum resistance of class 5 conductors at 20 C, IEC 60228 (standard, 2004).
    parts = f"{BATTERY}\nlamp: {{kind: dc_load, current: {amps} A, behaves: resistive}}"
    drop = facts(parts, f"b1 = lamp : {mm2} mm2, {metres} m")["load_volts(lamp, b1)"].values["drop"]
    bare = {"tables.joint": Span(0, 0), "tables.conductor_temperature": Span(20, 20)}
    domain = domain_of(drop, bare)
    assert isinstance(domain, Span)
    assert domain.lo <= published <= domain.hi


# -- who draws -----------------------------------------------------------------------------------------------


def test_several_identical_loads_written_as_one_draw_each() -> None:
    lamps = "lamp: {kind: dc_load, count: 6, current: 0.5 A, behaves: electronic}"
    made = facts(f"{BATTERY}\n{lamps}", "b1 = lamp : 2.5 mm2, 1 m")
    assert current(made, "b1~lamp") == (3, 3)
    assert span(made, "lead(lamp, b1)", "current") == (3, 3)


@pytest.mark.parametrize(
    "said",
    [
        "power: 60 W, behaves: electronic",
        "current: 5 A, behaves: constant_power",
        "power: 60 W, current: 4 A, behaves: constant_power",
        "count: 2, power: 30 W, behaves: motor",
    ],
)
def test_a_load_that_keeps_its_power_up_draws_more_the_fewer_volts_it_gets(said: str) -> None:
    made = facts(f"{BATTERY}\ncooler: {{kind: dc_load, {said}}}", "b1 = cooler : 1.5 mm2, 6 m")
    low, high = current(made, "b1~cooler")
    volts = span(made, "load_volts(cooler, b1)", "volts")
    assert (low, high) == pytest.approx((60 / volts[1], 60 / volts[0]))
    assert high > 60 / 13.0, "more than at the rested volts"


def test_a_stated_current_is_taken_where_the_power_does_not_stay_up() -> None:
    said = "power: 60 W, current: 4 A, behaves: motor"
    made = facts(f"{BATTERY}\ncooler: {{kind: dc_load, {said}}}", "b1 = cooler : 1.5 mm2, 6 m")
    assert current(made, "b1~cooler") == (4, 4)


@pytest.mark.parametrize("fact", ["load_volts(cooler, b1)", "sag(cooler, kettle, inv)"])
@pytest.mark.parametrize("said", ["current: 5 A", "current: 5..6 A", "power: 60 W", "power: 60 W, current: 4 A"])
def test_of_a_load_of_which_nobody_knows_whether_it_keeps_its_power_up_both_is_counted_with(
    said: str, fact: str
) -> None:
    kettle = f"{INVERTER}\nkettle: {{kind: appliance, power: 900 W}}"
    wires = "b1 = cooler : 1.5 mm2, 6 m\nb1 = inv : 35 mm2, 1 m"

    def volts(behaves: str) -> tuple[float, float]:
        cooler = f"cooler: {{kind: dc_load, {said}{behaves}}}"
        return span(facts(f"{BATTERY}\n{cooler}\n{kettle}", wires, ac="[inv > kettle]"), fact, "volts")

    words = ("resistive", "motor", "electronic", "constant_power")
    each = [volts(f", behaves: {word}") for word in words]
    low, high = volts("")
    assert low == pytest.approx(min(low for low, _ in each)) and high == pytest.approx(max(high for _, high in each))
    assert len({round(low, 6) for low, _ in each}) > 1, "or it would not matter"


def test_a_heater_is_taken_at_nominal_volts() -> None:
    made = facts(f"{BATTERY}\nmat: {{kind: dc_load, power: 60 W, behaves: resistive}}", "b1 = mat : 1.5 mm2, 6 m")
    assert current(made, "b1~mat") == (5, 5)


def test_a_load_of_which_nothing_was_read_leaves_it_open() -> None:
    made = facts(f"{BATTERY}\npump: {{kind: dc_load}}", "b1 = pump : 2.5 mm2, 1 m")
    value = made["run_current(b1~pump, b1)"].values["current"]
    assert [leaf.path for leaf in leaves_of(value) if not leaf.known] == ["pump.current"]


def test_a_load_that_cannot_run_is_a_fact_and_no_crash() -> None:
    made = facts(f"{BATTERY}\ncooler: {{kind: dc_load, power: 500 W}}", "b1 = cooler : 0.75 mm2, 20 m")
    assert span(made, "load_volts(cooler, b1)", "left")[1] < 0.5


def test_a_converter_draws_its_input_and_a_charger_between_two_banks_nothing() -> None:
    parts = f"{BATTERY}\nb2: {{kind: battery, duty: start}}\ndrop: {{kind: dc_reducer, input: 7 A, output: 10 A}}\n"
    parts += "dcdc: {kind: dc_charger, output: 30 A}"
    made = facts(
        parts, "b1 = drop : 6 mm2, 1 m\nb1 = dcdc : 10 mm2, 1 m\nb2 = dcdc.in : 10 mm2, 1 m\nb1- = b2- : 16 mm2, 1 m"
    )
    assert current(made, "b1~drop") == (7, 7)
    assert [id for id in starting(made, "run_current") if "dcdc" in id] == []


def test_each_bank_carries_its_own() -> None:
    parts = f"{BATTERY}\nb2: {{kind: battery, duty: start, nominal: 12 V}}\n{PUMP}\n{LAMP}"
    made = facts(parts, "b1 = pump : 2.5 mm2, 4 m\nb2 = lamp : 2.5 mm2, 2 m\nb1- = b2- : 16 mm2, 1 m")
    assert [id for id in starting(made, "run_current") if "lamp" in id] == [
        "run_current(b2-~lamp-, b2)",
        "run_current(b2~lamp, b2)",
    ]
    assert current(made, "b2~lamp", bank="b2") == (2, 2)


# -- how it is wired -----------------------------------------------------------------------------------------


def test_links_of_a_bank_carry_what_flows_through_them_whichever_way() -> None:
    parts = f"{GEAR}\nb2: {{kind: battery, chemistry: LFP, nominal: 12 V, capacity: 200 Ah, internal: 2 mohm}}"
    made = facts(parts, "b1+ = b2+ : 35 mm2, 0.3 m\nb2- = b1- : 35 mm2, 0.3 m\n" + SHARED)
    low, high = current(made, "b1+~b2+")
    assert current(made, "b2-~b1-") == pytest.approx((low, high))
    # A little less than half, for the way to the far battery is longer by the two links.
    most = 0.002 / (0.004 + 2 * (BEST * 0.3 / 35 + 2 * 0.00005))
    assert high == pytest.approx((FULL[1] + 8) * most)


def test_a_body_return_that_is_not_written_still_carries_by_its_plus() -> None:
    made = facts(f"{BATTERY}\n{LAMP}", "b1+ = lamp+ : 2.5 mm2, 2 m")
    assert current(made, "b1+~lamp+") == (2, 2)
    assert starting(made, "load_volts") == []
    assert "unconnected(lamp, minus)" in made


def test_both_sides_on_one_post_carry_nothing() -> None:
    assert (
        starting(facts(f"{BATTERY}\n{LAMP}", "b1+ = lamp+ : 2.5 mm2, 2 m\nb1+ = lamp- : 2.5 mm2, 2 m"), "run_current")
        == []
    )


def test_a_load_wired_the_wrong_way_round_still_draws_from_the_bank() -> None:
    made = facts(f"{BATTERY}\n{LAMP}", "b1+ = lamp- : 2.5 mm2, 2 m\nb1- = lamp+ : 2.5 mm2, 2 m")
    assert current(made, "b1+~lamp-") == (2, 2)
    assert span(made, "load_volts(lamp, b1)", "volts")[1] > 13


TWO = """\
b1: {kind: battery, chemistry: LFP, nominal: 12 V, internal: 2 mohm}
b2: {kind: battery, chemistry: LFP, nominal: 12 V, internal: 2 mohm}"""


def test_a_load_on_half_of_a_bank_draws_but_has_no_volts_of_the_whole() -> None:
    made = facts(
        f"{TWO}\n{LAMP}\n{PUMP}",
        "b1- = b2+ : 35 mm2, 0.3 m\nb2 = lamp : 4 mm2, 1 m\nb1+ = pump+ : 4 mm2, 1 m\nb2- = pump- : 4 mm2, 1 m",
    )
    assert current(made, "b2~lamp") == (2, 2)
    # The lower battery's link carries the pump alone.
    assert current(made, "b1-~b2+") == pytest.approx((4, 6))
    assert [id for id in starting(made, "load_volts") if "lamp" in id] == []
    assert "load_volts(pump, b1)" in made


def test_where_the_return_of_one_load_meets_the_supply_of_another_only_the_rest_flows() -> None:
    # A rail on the middle of two batteries in series: a lamp hangs below it, a fan above it.
    parts = f"{TWO}\nrail: {{kind: busbars}}\nfan: {{kind: dc_load, current: 5 A, behaves: motor}}\n{LAMP}"
    dc = "b1- = b2+ : 35 mm2, 0.3 m\nb2+ = rail+ : 10 mm2, 1 m\nrail+ = lamp+ : 4 mm2, 1 m\nb2- = lamp- : 4 mm2, 1 m\n"
    made = facts(parts, dc + "b1+ = fan+ : 4 mm2, 1 m\nrail+ = fan- : 4 mm2, 1 m")
    assert current(made, "b2+~rail+") == pytest.approx((3, 3))
    assert current(made, "rail+~lamp+") == (2, 2)


def test_a_bank_of_which_half_is_drawn_has_no_facts_of_what_flows() -> None:
    assert (
        starting(
            facts(f"{TWO}\n{PUMP}", "b1+ = b2+ : 35 mm2, 0.3 m\nb1 = pump : 4 mm2, 1 m"), "run_current", "load_volts"
        )
        == []
    )


def test_consumers_of_which_no_run_is_written_may_hang_on_any_bars() -> None:
    loose = "fan: {kind: dc_load, current: 3 A, behaves: motor}\ncooler: {kind: dc_load, power: 65 W}"
    made = facts(f"{GEAR}\n{loose}", SHARED)
    assert current(made, "bars~pump") == (4, 6)
    # The cooler takes 65 W: 10 A at half of the rested 13 V.
    assert current(made, "b1~bars") == pytest.approx((FULL[0] + 6, FULL[1] + 8 + 3 + 10))
    value = made["run_current(b1~bars, b1)"].values["current"]
    (unplaced,) = [leaf for leaf in leaves_of(value) if leaf.path == "worked_out.b1.unplaced"]
    assert unplaced.source == "their runs are not written: fan, cooler" and not unplaced.known


def test_what_is_supposed_to_draw_makes_nothing_sure() -> None:
    made = facts(GEAR.replace("lamp: {kind: dc_load,", "lamp: {kind: dc_load, supposed: yes,"), SHARED)
    standing = [leaf.path for leaf in made["run_current(b1~bars, b1)"].standing]
    assert standing == ["lamp.there"]


def test_every_conductor_that_carries_has_what_it_may_carry() -> None:
    made = facts(GEAR, SHARED)
    runs = {fact.keys["run"] for id, fact in made.items() if id.startswith("run_current")}
    assert runs == {fact.keys["run"] for id, fact in made.items() if id.startswith("conductor")}
    low, high = span(made, "run_current(bars~pump, b1)", "ratio")
    may = span(made, "conductor(bars~pump)", "ampacity")
    assert (low, high) == pytest.approx((4 / may[1], 6 / may[0]))


# -- the main fuse -------------------------------------------------------------------------------------------


def main(made: dict[str, Fact], name: str) -> tuple[float, float]:
    return span(made, "main_device_load(main, b1)", name)


MAIN = SHARED.replace("b1 = bars", "b1+ = main = bars+ : 35 mm2, 0.2 m, 1 m\nb1- = bars-")


def test_what_passes_the_main_fuse_is_the_sum_of_all_behind_it() -> None:
    made = facts(f"{GEAR}\nmain: {{kind: fuse, rating: 80 A}}", MAIN)
    assert main(made, "current") == pytest.approx((FULL[0] + 6, FULL[1] + 8))
    assert main(made, "ratio") == pytest.approx(((FULL[0] + 6) / 80, (FULL[1] + 8) / 80))
    twice = facts(f"{GEAR}\nmain: {{kind: fuse, count: 2, rating: 80 A}}", MAIN)
    assert main(twice, "rating") == (160, 160)


def test_a_load_that_hangs_nobody_knows_where_may_pass_the_main_fuse() -> None:
    gear = f"{GEAR}\nmain: {{kind: fuse, rating: 80 A}}\nwinch: {{kind: dc_load, current: 50 A"
    assert main(facts(gear + ", behaves: motor}", MAIN), "current") == pytest.approx((FULL[0] + 6, FULL[1] + 58))
    # Where nobody knows whether it keeps its power up, it may: 50 A at 12 V, taken at half of the 13 V at rest.
    most = 50 * 12 / (13.0 / 2)
    assert main(facts(gear + "}", MAIN), "current") == pytest.approx((FULL[0] + 6, FULL[1] + 8 + most))


def test_a_fuse_of_one_consumer_is_no_main_fuse() -> None:
    parts = f"{BATTERY}\n{INVERTER}\nmain: {{kind: fuse, rating: 80 A}}"
    made = facts(parts, "b1+ = main = inv+ : 35 mm2, 0.2 m, 1 m\nb1- = inv- : 35 mm2, 1 m")
    assert starting(made, "main_device_load") == []


def test_a_fuse_that_is_bridged_opens_for_nobody() -> None:
    bridged = facts(f"{GEAR}\nmain: {{kind: fuse, rating: 80 A, status: bridged}}", MAIN)
    assert starting(bridged, "main_device_load") == []


@pytest.mark.parametrize("behaves", ["constant_power", "resistive", "motor"])
def test_a_current_that_was_read_twice_speaks_louder_than_watts_on_a_label(behaves: str) -> None:
    heater = f"heater: {{kind: dc_load, power: 60 W (label), behaves: {behaves}}}"
    read = "{a: {what: current, value: 9 A, of: heater, loads: heater}%s}"
    wires = {"dc": "b1 = heater : 6 mm2, 1 m", "dc_volts": "12 V"}
    by_label = current(facts(f"{BATTERY}\n{heater}", **wires), "b1~heater")
    assert 4 < by_label[0] <= by_label[1] < 5.1
    twice = facts(f"{BATTERY}\n{heater}", **wires, readings=read % ", b: {what: current, value: 9 A, repeats: a}")
    assert 8 < current(twice, "b1~heater")[0] <= current(twice, "b1~heater")[1] <= 9.1
    # Once, it is anything from the one to the other.
    once = current(facts(f"{BATTERY}\n{heater}", **wires, readings=read % ""), "b1~heater")
    assert once[0] <= by_label[0] and once[1] == current(twice, "b1~heater")[1]
