"""The plus side cut at its fuses: what guards each conductor, seen from a bank."""

from ringout.case.load import load_text
from ringout.system.network import Network
from ringout.system.zones import Zone, zones

PARTS = """\
b1: {kind: battery}
b2: {kind: battery}
f1: {kind: fuse, rating: 100 A}
f2: {kind: fuse, rating: 60 A}
f3: {kind: breaker, rating: 20 A}
maybe: {kind: fuse, supposed: yes}
sw: {kind: isolator}
bars: {kind: busbars}
inv: {kind: inverter}
pump: {kind: dc_load}
start: {kind: battery, duty: start}
dcdc: {kind: dc_charger}"""


def cut(dc: str) -> list[Zone]:
    rows = ["case: the reed punt", "parts:", *(f"  {line}" for line in PARTS.splitlines()), "dc:"]
    network = Network(
        load_text("\n".join([*rows, *(f"  - {line}" for line in dc.splitlines())]), "punt.yaml")
    )
    return zones(network, network.banks[0])


def guarded(dc: str) -> dict[tuple[str, ...], list[str]]:
    """Guards -> the runs they guard, all zones but the bank's own."""
    return {zone.guards: sorted(hop.id for hop in zone.hops) for zone in cut(dc) if not zone.own}


def own(dc: str) -> list[str]:
    (zone,) = [zone for zone in cut(dc) if zone.own]
    assert zone.guards == ()
    return sorted(hop.id for hop in zone.hops)


def test_before_the_first_fuse_nothing_guards() -> None:
    dc = "b1+ = f1 = bars+\nb1- = bars-\nbars = inv"
    assert own(dc) == ["b1+~f1"]
    assert guarded(dc) == {("f1",): ["bars~inv", "f1~bars+"]}


def test_a_fuse_behind_a_fuse_guards_what_is_behind_it() -> None:
    dc = "b1+ = f1 = bars+\nb1- = bars-\nbars = f3 = pump"
    assert guarded(dc) == {("f1",): ["bars~f3", "f1~bars+"], ("f3",): ["f3~pump"]}


def test_two_fuses_side_by_side_guard_with_both() -> None:
    dc = "b1+ = f1 = bars+\nb2+ = f2 = bars+\nb1- = b2-\nb1- = bars-\nbars = inv"
    assert own(dc.replace("b1- = b2-", "b1- = b2-\nb1+ = b2+")) == ["b1+~b2+", "b1+~f1", "b2+~f2"]
    assert guarded(dc)[("f1", "f2")] == ["bars~inv", "f1~bars+", "f2~bars+"]


def test_a_switch_and_a_supposed_fuse_guard_nothing() -> None:
    assert own("b1+ = sw = bars+\nb1- = bars-") == ["b1+~sw", "sw~bars+"]
    assert own("b1+ = maybe = bars+\nb1- = bars-") == ["b1+~maybe", "maybe~bars+"]


def test_the_minus_side_and_other_banks_are_left_out() -> None:
    dc = "b1 = f1 = inv\nstart = dcdc.in\nb1 = dcdc\nb1- = start-"
    runs = [hop.id for zone in cut(dc) for hop in zone.hops]
    assert "start~dcdc.in" not in runs
    assert [run for run in runs if run.startswith("b1-")] == []


def test_a_fuse_in_minus_opens_no_zone() -> None:
    dc = "b1+ = inv+\nb1- = f1 = inv-"
    assert guarded(dc) == {}


def test_a_bank_without_runs_has_no_zone() -> None:
    assert cut("start = pump") == []
