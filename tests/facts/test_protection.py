"""Facts of protection: what guards each conductor, and whether a device can break the fault current."""

import pytest

from ringout.case.load import load_text
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.physics.tables import constant
from ringout.quantity.span import Domain, Span
from ringout.quantity.traced import domain_of

STRANDING = constant("stranding").domain
assert isinstance(STRANDING, Span)
STRANDED = STRANDING.hi
PARTS = """\
b1: {kind: battery, chemistry: LFP, nominal: 12 V, internal: 2 mohm}
b2: {kind: battery, chemistry: LFP, nominal: 12 V, internal: 2 mohm}
main: {kind: fuse, family: class_T, rating: 200 A}
side: {kind: fuse, family: blade, rating: 20 A}
own: {kind: fuse, family: blade, rating: 20 A, interrupts: 3 kA}
blank: {kind: fuse, rating: 20 A}
brk: {kind: breaker, rating: 50 A}
bars: {kind: busbars}
pump: {kind: dc_load}
inv: {kind: inverter}"""


def facts(dc: str, kind: str = "other") -> dict[str, Fact]:
    lines = [line for line in PARTS.splitlines() if line.startswith("b1:") or line.split(":")[0] in dc]
    rows = ["case: the counters' boat", f"kind: {kind}", "parts:", *(f"  {line}" for line in lines), "dc:"]
    case = load_text("\n".join([*rows, *(f"  - {line}" for line in dc.splitlines())]), "boat.yaml")
    return {fact.id: fact for fact in gather(case)}


def says(made: dict[str, Fact], id: str, name: str) -> Domain:
    return domain_of(made[id].values[name])


RADIAL = """\
b1+ = main = bars+ : 50 mm2, 0.1 m, 0.5 m
b1- = bars- : 50 mm2, 0.5 m
bars = side = pump : 2.5 mm2, 0.1 m, 4 m"""


def test_each_run_behind_a_device_is_set_against_it() -> None:
    made = facts(RADIAL)
    runs = sorted(id for id in made if id.startswith("guarded_run"))
    assert runs == [
        "guarded_run(main, bars~side, b1)",
        "guarded_run(main, main~bars+, b1)",
        "guarded_run(side, side~pump, b1)",
    ]
    thin = "guarded_run(main, bars~side, b1)"
    assert says(made, thin, "rating") == Span(200.0, 200.0)
    assert says(made, thin, "length") == Span(0.1, 0.1)
    ampacity, ratio = says(made, thin, "ampacity"), says(made, thin, "ratio")
    assert isinstance(ampacity, Span) and isinstance(ratio, Span)
    # 2.5 mm2 lies between 14 and 12 AWG, insulation from 60 to 200 C, in an engine space (factor 0.58) or not
    assert 20 * 0.58 < ampacity.lo < 25 * 0.58 and 45 < ampacity.hi < 55
    assert (ratio.lo, ratio.hi) == pytest.approx((200 / ampacity.hi, 200 / ampacity.lo))


def ampacity(more: str, kind: str = "other") -> tuple[float, float]:
    dc = f"b1+ = main : 35 mm2, 0.1 m\n{{run: main = inv+, size: 35 mm2{more}}}\nb1- = inv-"
    found = says(facts(dc, kind), "guarded_run(main, main~inv+, b1)", "ampacity")
    assert isinstance(found, Span)
    return found.lo, found.hi


def test_what_is_known_of_insulation_and_place_narrows_it() -> None:
    # 33 CFR 183.425 note 1 (regulation, United States): 0.85 in an engine space at 105 C
    cool, cool_too = ampacity(", insulation: 105 C, engine_space: no")
    assert cool == cool_too
    assert ampacity(", insulation: 105 C, engine_space: yes") == pytest.approx((0.85 * cool, 0.85 * cool))
    assert ampacity(", insulation: 105 C") == pytest.approx((0.85 * cool, cool)), (
        "nobody looked where it runs"
    )
    low, high = ampacity("")
    assert low < 0.85 * cool and cool < high


def test_where_no_engine_is_aboard_no_cable_runs_past_one() -> None:
    assert ampacity(", insulation: 105 C", "caravan") == ampacity(", insulation: 105 C, engine_space: no")


def test_two_batteries_with_a_fuse_each_feed_with_both() -> None:
    made = facts("b1+ = main = bars+\nb2+ = brk = bars+\nb1- = b2-\nb1- = bars-\nbars = inv : 35 mm2, 1 m")
    for device in ("main", "brk"):
        assert says(made, f"guarded_run({device}, bars~inv, b1)", "rating") == Span(250.0, 250.0)


def test_a_dead_short_behind_the_device_is_bank_volts_over_bank_and_lead() -> None:
    made = facts(RADIAL)
    current = says(made, "fault_current(main, b1)", "current")
    assert isinstance(current, Span)
    # LFP rested 13.0 to 13.4 V; 0.1 m of 50 mm2 with two lugs, the return from nothing to as much again
    least = 0.017241 * 0.1 / 50 * (1 - 0.00393 * 5) + 2 * 0.00005
    most = 0.017241 * 0.1 / 50 * (1 + 0.00393 * 40) * STRANDED + 2 * 0.0003
    assert current.hi == pytest.approx(13.4 / (0.002 + least))
    assert current.lo == pytest.approx(13.0 / (0.002 + 2 * most))
    far = says(made, "fault_current(side, b1)", "current")
    assert isinstance(far, Span) and far.hi < current.hi


def test_what_a_device_can_break_is_as_stated_else_by_its_family() -> None:
    made = facts(RADIAL)
    assert says(made, "fault_current(main, b1)", "interrupts") == Span(20e3, 20e3)
    assert says(made, "fault_current(side, b1)", "interrupts") == Span(1e3, 1e3)
    stated = facts("b1 = own = inv")
    assert says(stated, "fault_current(own, b1)", "interrupts") == Span(3e3, 3e3)
    blank = says(facts("b1 = blank = inv"), "fault_current(blank, b1)", "interrupts")
    assert blank == Span(35.0, 120e3)


def test_protection_by_supposed_runs_stands_on_them() -> None:
    made = facts("{run: b1+ = main, supposed: yes}\nmain = inv+\nb1- = inv-")
    for id in ("guarded_run(main, main~inv+, b1)", "fault_current(main, b1)"):
        assert [leaf.path for leaf in made[id].standing] == ["b1+~main.there"], id


def test_like_devices_written_as_one_guard_with_their_sum() -> None:
    rows = "case: the hut\nkind: cabin\nparts:\n  b1: {kind: battery}\n  f: {kind: fuse, count: 2, rating: 150 A}\n"
    rows += "  inv: {kind: inverter}\ndc:\n  - b1+ = f = inv+ : 35 mm2, 0.1 m, 1 m\n"
    made = {fact.id: fact for fact in gather(load_text(rows, "hut.yaml"))}
    assert says(made, "guarded_run(f, f~inv+, b1)", "rating") == Span(300.0, 300.0)


def test_batteries_that_differ_inside_feed_a_short_side_by_side() -> None:
    rows = "case: the hut\ndc_volts: 12 V\nparts:\n  f: {kind: fuse}\n  inv: {kind: inverter}\n"
    rows += "  b1: {kind: battery, chemistry: LFP, internal: 20 mohm}\n"
    rows += "  b2: {kind: battery, chemistry: LFP, internal: %s}\n"
    rows += "dc:\n  - b1 = b2 : 70 mm2, 0.2 m\n  - b1+ = f = inv+ : 70 mm2, 0.1 m, 1 m\n  - b2- = inv- : 70 mm2, 1 m\n"
    alike, strong = (
        says({fact.id: fact for fact in gather(load_text(rows % ohm, "hut.yaml"))}, "fault_current(f, b1)", "current")
        for ohm in ("20 mohm", "0.5 mohm")
    )
    assert isinstance(alike, Span)
    assert isinstance(strong, Span)
    # 20 mohm twice is 10 mohm; 20 and 0.5 mohm side by side are 0.49 mohm (Kirchhoff).
    assert strong.lo > 5 * alike.hi
