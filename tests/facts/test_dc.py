"""Facts of the DC side: charging, inverters and loops, what sags, leads. Numbers are worked out by hand."""

import pytest

from ringout.case.load import load_text
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.physics.tables import constant
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import Value, domain_of, leaves_of


def facts(parts: str, dc: str = "", ac: str = "", **more: str) -> dict[str, Fact]:
    rows = ["case: the counters' motorhome", "parts:", *(f"  {line}" for line in parts.strip().splitlines())]
    for key, lines in (("dc", dc), ("ac", ac)):
        rows += [f"{key}:", *(f"  - {line}" for line in lines.strip().splitlines())] if lines else []
    rows += [f"{key}: {value}" for key, value in more.items()]
    return {fact.id: fact for fact in gather(load_text("\n".join(rows), "motorhome.yaml"))}


def says(made: dict[str, Fact], id: str, name: str) -> Domain:
    return domain_of(made[id].values[name])


def span(made: dict[str, Fact], id: str, name: str) -> tuple[float, float]:
    domain = says(made, id, name)
    assert isinstance(domain, Span)
    return domain.lo, domain.hi


def starting(made: dict[str, Fact], *types: str) -> list[str]:
    return [id for id in made if id.split("(")[0] in types]


STRANDING = constant("stranding").domain
assert isinstance(STRANDING, Span)
STRANDED = STRANDING.hi
BATTERY = "b1: {kind: battery, chemistry: LFP, nominal: 12 V, capacity: 200 Ah, internal: 2 mohm}"
INVERTER = "inv: {kind: inverter, rating: 2000 W, efficiency: 80 %, idle: 24 W}"
CHARGER = "chg: {kind: mains_charger, output: 40 A, efficiency: 90 %, absorption: 14.4 V, float: 13.5 V}"

# -- charging ------------------------------------------------------------------------------------------------


def test_charge_voltages_are_brought_to_12_v() -> None:
    parts = "b1: {kind: battery, nominal: 24 V, capacity: 200 Ah}\nchg: {kind: mains_charger, output: 40 A, "
    made = facts(parts + "absorption: 28.8 V, float: 27 V, equalise_voltage: 31 V}")
    assert span(made, "charging(chg, b1)", "absorption_12") == pytest.approx((14.4, 14.4))
    assert span(made, "charging(chg, b1)", "float_12") == pytest.approx((13.5, 13.5))
    assert span(made, "charging(chg, b1)", "equalise_12") == pytest.approx((15.5, 15.5))
    assert span(made, "charging(chg, b1)", "rate") == pytest.approx((0.2, 0.2))
    assert span(made, "charging(chg, b1)", "current") == (40, 40)


def test_charge_sources_add_up_where_they_charge_the_bank() -> None:
    parts = f"{BATTERY}\n{CHARGER}\ndcdc: {{kind: dc_charger, output: 30 A}}"
    assert span(facts(parts), "charge_together(b1)", "current") == (70, 70)
    other = parts + "\nb2: {kind: battery, duty: start}"
    made = facts(other, "b1 = chg\nb2 = dcdc.in")
    assert span(made, "charge_together(b1)", "current") == (40, 70), "nobody drew where the second one leads"
    assert span(made, "charge_together(b2)", "current") == (0, 30)


def test_more_sources_than_can_be_walked_through_span_from_none_to_all() -> None:
    many = "\n".join(f"c{n}: {{kind: mains_charger, output: 10 A}}" for n in range(8))
    made = facts(f"{BATTERY}\nb2: {{kind: battery, duty: start}}\n{many}")
    assert span(made, "charge_together(b1)", "current") == (0, 80)


# -- inverters and loops -------------------------------------------------------------------------------------


def test_an_inverter_draws_its_rating_and_its_idle() -> None:
    made = facts(f"{BATTERY}\n{INVERTER}")
    # LFP under load: 12.6 to 13.2 V
    assert span(made, "inverter_draw(inv, b1)", "current") == pytest.approx(
        (2000 / 13.2 / 0.8, 2000 / 12.6 / 0.8)
    )
    assert span(made, "inverter_draw(inv, b1)", "idle_current") == pytest.approx((24 / 13.2, 24 / 12.6))


def test_a_loop_costs_what_the_two_conversions_lose_and_the_idle_draw() -> None:
    made = facts(f"{BATTERY}\n{INVERTER}\n{CHARGER}")
    lost = 40 * (1 / 0.72 - 1)
    # LFP while charging: 13.3 to 14.6 V
    assert span(made, "loop_cost(chg, inv, b1)", "net") == pytest.approx((lost + 24 / 14.6, lost + 24 / 13.3))
    assert span(made, "loop_cost(chg, inv, b1)", "out") == pytest.approx(
        (40 / 0.72 + 24 / 14.6, 40 / 0.72 + 24 / 13.3)
    )
    assert span(made, "loop_cost(chg, inv, b1)", "heat") == pytest.approx(
        (13.3 * lost + 24, 14.6 * lost + 24)
    )
    # 160 to 180 Ah may be used
    assert span(made, "loop_cost(chg, inv, b1)", "hours") == pytest.approx(
        (3600 * 160 / (lost + 24 / 13.3), 3600 * 180 / (lost + 24 / 14.6))
    )


def test_an_inverter_charger_has_no_loop_of_its_own() -> None:
    made = facts(f"{BATTERY}\ncombi: {{kind: inverter_charger}}\n{CHARGER}")
    assert starting(made, "loop_cost") == ["loop_cost(chg, combi, b1)"]


def test_an_inverter_on_another_bank_costs_this_one_nothing() -> None:
    made = facts(f"{BATTERY}\nb2: {{kind: battery}}\n{INVERTER}\n{CHARGER}", "b1 = inv\nb2 = chg\nb1- = b2-")
    assert starting(made, "loop_cost") == ["loop_cost(chg, inv, b1)"]
    assert says(made, "inverter_draw(inv, b2)", "on") == Choice(frozenset({"no"}))


# -- what runs together --------------------------------------------------------------------------------------

KETTLE = "kettle: {kind: appliance, power: 2000 W, together: yes}"
TOASTER = "toaster: {kind: appliance, power: 800 W, together: %s}"


def together(toaster: str, ac: str) -> tuple[float, float]:
    return span(facts(f"{INVERTER}\n{KETTLE}\n{TOASTER % toaster}", "", ac), "together(inv)", "power")


def test_appliances_count_where_they_are_fed_and_run_together() -> None:
    both = "inv > kettle\ninv > toaster"
    assert together("yes", both) == (2800, 2800)
    assert together("no", both) == (2000, 2000)
    assert together("unknown", both) == (2000, 2800)


def test_an_appliance_nobody_traced_counts_from_nothing_to_all_of_it() -> None:
    assert together("yes", "inv > kettle") == (2000, 2800)


def test_several_alike_count_each() -> None:
    made = facts(
        f"{INVERTER}\nlamp: {{kind: appliance, count: 3, power: 60 W, together: yes}}", "", "inv > lamp"
    )
    assert span(made, "together(inv)", "power") == (180, 180)


def test_an_inverter_that_feeds_nothing_runs_nothing() -> None:
    assert span(facts(INVERTER), "together(inv)", "power") == (0, 0)


def test_more_appliances_than_can_be_walked_through_span_from_none_to_all() -> None:
    many = "\n".join(f"a{n}: {{kind: appliance, power: 100 W}}" for n in range(9))
    feeds = "\n".join(f"inv > a{n}" for n in range(9))
    made = facts(f"{INVERTER}\n{many}\n{KETTLE}", "", feeds + "\ninv > kettle")
    assert span(made, "together(inv)", "power") == (2000, 2900)


TWO_CHANGEOVERS = """
inlet > co.shore
inv > joint.one
small > joint.two
joint > co.inverter
co > kettle"""


@pytest.mark.parametrize("feeds", ["", "\ninv > toaster"])
def test_an_appliance_behind_more_open_changeovers_than_can_be_walked_through_counts_from_nothing(feeds: str) -> None:
    parts = "inlet: {kind: inlet}\nco: {kind: changeover}\njoint: {kind: changeover}\nsmall: {kind: inverter}"
    parts += f"\n{INVERTER}\n{KETTLE}\n{TOASTER % 'yes'}"
    made = facts(parts, "", TWO_CHANGEOVERS + feeds)
    assert span(made, "together(inv)", "power") == ((800, 2800) if feeds else (0, 2800))


# -- leads ---------------------------------------------------------------------------------------------------


def test_a_lead_is_both_conductors_at_the_current_it_is_judged_at() -> None:
    made = facts(f"{BATTERY}\n{CHARGER}", "b1 = chg : 10 mm2, 3 m")
    low, high = span(made, "lead(chg, b1)", "resistance")
    copper = 2 * 0.017241 * 3 / 10
    # from 15 C solid with clean lugs to 60 C, finely stranded and tinned, with fair ones
    assert low == pytest.approx(copper * (1 - 0.00393 * 5) + 4 * 0.00005)
    assert high == pytest.approx(copper * (1 + 0.00393 * 40) * STRANDED + 4 * 0.0003)
    assert span(made, "lead(chg, b1)", "drop") == pytest.approx((40 * low, 40 * high))
    assert span(made, "lead(chg, b1)", "drop_share") == pytest.approx((40 * low / 12, 40 * high / 12))
    assert made["lead(chg, b1)"].known == {"role": "charger"}


def test_a_drop_at_24_v_counts_half_at_12() -> None:
    parts = f"b1: {{kind: battery, nominal: 24 V}}\n{CHARGER}"
    made = facts(parts, "b1 = chg : 10 mm2, 3 m")
    drop, at_12 = span(made, "lead(chg, b1)", "drop"), span(made, "lead(chg, b1)", "drop_12")
    assert at_12 == pytest.approx((drop[0] / 2, drop[1] / 2))


@pytest.mark.parametrize(
    ("part", "role", "low", "high"),
    [
        (INVERTER.replace("inv:", "x:"), "inverter", 2000 / 13.2 / 0.8, 2000 / 12.6 / 0.8),
        (
            "x: {kind: inverter_charger, rating: 1000 W, efficiency: 80 %, output: 90 A}",
            "inverter",
            1000 / 13.2 / 0.8,
            1000 / 12.6 / 0.8,
        ),
        ("x: {kind: dc_charger, output: 25 A}", "dc_converter", 25, 25),
        ("x: {kind: dc_load, current: 4..6 A}", "dc_load", 4, 6),
        ("x: {kind: solar_controller, rating: 30 A}", "solar_controller", 30, 30),
        ("x: {kind: solar_controller, count: 2, rating: 30 A}", "solar_controller", 60, 60),
        ("x: {kind: dc_charger, count: 2, output: 25 A}", "dc_converter", 50, 50),
        (
            "x: {kind: solar_controller}\np: {kind: solar_panel, power: 200 W}",
            "solar_controller",
            200 / 14.6,
            200 / 13.3,
        ),
    ],
)
def test_the_current_a_lead_is_judged_at(part: str, role: str, low: float, high: float) -> None:
    made = facts(f"{BATTERY}\n{part}", "b1 = x : 10 mm2, 1 m")
    assert made["lead(x, b1)"].known == {"role": role}
    assert span(made, "lead(x, b1)", "current") == pytest.approx((low, high), rel=1e-3)


def test_a_lead_of_one_conductor_is_no_lead_yet() -> None:
    assert starting(facts(f"{BATTERY}\n{CHARGER}", "b1+ = chg+ : 10 mm2, 3 m"), "lead") == []


def test_a_lead_by_a_supposed_run_stands_on_it() -> None:
    made = facts(f"{BATTERY}\n{CHARGER}", "b1+ = chg+ : 10 mm2, 3 m\n{run: b1- = chg-, supposed: yes}")
    assert [leaf.path for leaf in made["lead(chg, b1)"].standing] == ["b1-~chg-.there"]


# -- what sags -----------------------------------------------------------------------------------------------

BLOWER = "blower: {kind: dc_load, current: 5 A, behaves: motor, cutoff: 10.5 V}"
SHARED = "b1 = bars : 35 mm2, 1 m\nbars = inv : 35 mm2, 1 m\nbars = blower : 2.5 mm2, 4 m"
GEAR = f"{BATTERY}\nbars: {{kind: busbars}}\n{INVERTER}\n{BLOWER}\n{KETTLE}"


def test_a_load_on_shared_leads_sags_while_an_appliance_runs() -> None:
    low, high = span(facts(GEAR, SHARED, "inv > kettle"), "sag(blower, kettle, inv)", "volts")
    # at best 13.4 V rested less what 189 A lose in 2 mohm and the shared lead, less its own lead
    shared = 0.002 + 2 * 0.017241 * (1 - 0.00393 * 5) / 35 + 4 * 0.00005
    own = 2 * 0.017241 * (1 - 0.00393 * 5) * 4 / 2.5 + 4 * 0.00005
    amps = 2000 / 13.2 / 0.8
    assert high == pytest.approx(13.4 - (amps + 5) * shared - 5 * own, abs=1e-6)
    assert low < high < 13.4


def test_an_appliance_that_nobody_traced_may_make_a_load_sag() -> None:
    traced, untraced = facts(GEAR, SHARED, "inv > kettle"), facts(GEAR, SHARED)
    id = "sag(blower, kettle, inv)"
    assert says(traced, id, "fed") == Choice(frozenset({"yes"}))
    assert says(untraced, id, "fed") == Choice(frozenset({"yes", "no"}))
    assert span(untraced, id, "volts") == span(traced, id, "volts")


def test_nothing_sags_by_what_the_inverter_surely_does_not_feed_or_where_it_hangs_elsewhere() -> None:
    shore = GEAR + "\ninlet: {kind: inlet}"
    assert starting(facts(shore, SHARED, "inlet > kettle"), "sag") == []
    assert starting(facts(GEAR, "bars = inv : 35 mm2, 1 m", "inv > kettle"), "sag") == []


def test_batteries_nobody_read_leave_the_sag_open_and_do_not_stop_the_review() -> None:
    blank = GEAR.replace(BATTERY, "b1: {kind: battery}\nb2: {kind: battery}")
    made = facts(blank, "b1 = b2 : 35 mm2, 0.3 m\n" + SHARED, "inv > kettle", dc_volts="12 V")
    low, high = span(made, "sag(blower, kettle, inv)", "volts")
    assert low < 0 and 12 < high <= 14


AT_BARS = "{sag: {what: voltage, value: %s, points: bars+ bars-, loads: kettle}}"


def sag(readings: str) -> Value:
    return facts(GEAR, SHARED, "inv > kettle", readings=readings)["sag(blower, kettle, inv)"].values["volts"]


def test_volts_as_read_count_where_they_fit_or_were_repeated() -> None:
    # The network leaves 11 to 12.8 V at the blower; its own lead loses 0.3 to 0.4 V of what is at the bars.
    fits, once = AT_BARS % "12.4 V", AT_BARS % "9.4 V"
    twice = once.replace("}}", "}, again: {what: voltage, value: 9.3 V, repeats: sag}}")
    for readings, ends in ((fits, (12.0, 12.2)), (twice, (8.9, 9.2))):
        found = domain_of(sag(readings))
        assert isinstance(found, Span) and ends[0] < found.lo < found.hi < ends[1]


@pytest.mark.parametrize("more", ["", ", steady: no"])
def test_volts_that_surprise_are_open_beside_what_is_worked_out(more: str) -> None:
    volts = sag(AT_BARS.replace("}}", more + "}}") % "9.4 V")
    [doubt] = [leaf for leaf in leaves_of(volts) if leaf.doubt is not None]
    found, network = domain_of(volts), domain_of(sag("{}"))
    assert isinstance(found, Span) and isinstance(network, Span)
    assert (found.hi, found.lo < 9.1) == (network.hi, True)
    # What is worked out may show a fault, what was read may only suggest one.
    assert doubt.word is not None and domain_of(volts, {doubt.path: doubt.word}) == network
    assert doubt.suggests is not None and domain_of(volts, {doubt.path: doubt.suggests}) != network
