"""From the wiring to resistances: of a hop, of a way, of a bank and what hangs on it."""

import shutil
from pathlib import Path

import pytest

from ringout.case.load import load_text
from ringout.physics.circuit import Circuit, circuit, device_ohm, hop_ohm, internal_ohm, way_ohm
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Domain, Span
from ringout.quantity.traced import Value, domain_of
from ringout.shipped import knowledge_in, rules_root
from ringout.system.network import Network

COPPER = 0.017241


def exactly(value: float) -> Span:
    return Span(value, value)


# The uncertain values of the tables, put at one point.
PLAIN: dict[str, Domain] = {
    "tables.joint": exactly(0.0001),
    "tables.stranding": exactly(1.0),
    "tables.conductor_temperature": exactly(20.0),
    "tables.device_in_lead": exactly(0.0002),
    "tables.small_device_in_lead": exactly(0.004),
}


def net(dc: str, parts: str = "") -> Network:
    """The network of a boat with two batteries of 4 mohm and an inverter."""
    rows = [
        "case: the warden's boat",
        "parts:",
        "  b1: {kind: battery, internal: 4 mohm}",
        "  b2: {kind: battery, internal: 4 mohm}",
        "  house: {kind: busbars}",
        "  main: {kind: fuse, rating: 250 A}",
        "  inv: {kind: inverter}",
        "  pump: {kind: dc_load}",
        *(f"  {line}" for line in parts.splitlines()),
        "dc:",
        *(f"  - {line}" for line in dc.strip().splitlines()),
    ]
    return Network(load_text("\n".join(rows), "boat.yaml"))


def ohm(value: Value) -> float:
    domain = domain_of(value, PLAIN)
    assert isinstance(domain, Span) and domain.lo == pytest.approx(domain.hi)
    return domain.lo


def made(network: Network, *keep: str, equal: bool = True) -> Circuit:
    found = circuit(network, network.banks[0], set(keep), equal=equal)
    assert found is not None
    return found


LINKED = "b1+ = b2+ : 50 mm2, 0.25 m\nb1- = b2- : 50 mm2, 0.25 m\n"
ONE_SIDE = LINKED + "b1 = inv : 50 mm2, 1 m"


def test_a_hop_is_copper_and_two_lugs() -> None:
    network = net("b1 = inv : 35 mm2, 2 m")
    assert ohm(hop_ohm(network.case.hops["b1~inv"])) == pytest.approx(COPPER * 2 / 35 + 0.0002)


def test_a_device_is_taken_by_its_rating() -> None:
    network = net("b1 = inv", "small: {kind: fuse, rating: 99 A}\nblank: {kind: fuse}\ngate: {kind: bms}")
    parts = network.case.parts
    assert ohm(device_ohm(parts["main"])) == 0.0002
    assert ohm(device_ohm(parts["small"])) == 0.004
    assert ohm(device_ohm(parts["gate"])) == 0.004
    blank = device_ohm(parts["blank"])
    assert domain_of(blank, PLAIN) == Span(0.0002, 0.004), "a fuse nobody read may be either"


def test_a_fuse_nobody_read_may_be_either_whichever_resists_more() -> None:
    blank = device_ohm(net("b1 = inv", "blank: {kind: fuse}").case.parts["blank"])
    for small, both in ((0.002, Span(0.001, 0.003)), (0.0005, Span(0.0005, 0.003)), (0.004, Span(0.001, 0.004))):
        view = {"tables.device_in_lead": Span(0.001, 0.003), "tables.small_device_in_lead": exactly(small)}
        assert domain_of(blank, view) == both


def test_resistances_go_by_the_tables_that_are_read(tmp_path: Path) -> None:
    network = net("b1+ = main = house+ : 35 mm2, 1 m, 2 m")
    [hop, *_], main = network.case.hops.values(), network.case.parts["main"]
    here = domain_of(hop_ohm(hop)), domain_of(device_ohm(main))
    shutil.copytree(rules_root(), tmp_path / "rules")
    table = tmp_path / "rules" / "tables" / "physics.yaml"
    text = table.read_text("utf-8").replace("0.017241", "0.027241")
    table.write_text(text.replace("value: 0.1..0.4 mohm", "value: 0.9..4 mohm"), "utf-8")
    with knowledge_in(tmp_path / "rules"):
        assert domain_of(device_ohm(main)) == Span(0.0009, 0.004) != here[1]
        assert domain_of(hop_ohm(hop)) != here[0]
    assert (domain_of(hop_ohm(hop)), domain_of(device_ohm(main))) == here


def test_a_stated_resistance_of_a_device_counts() -> None:
    network = net("b1 = inv", "read: {kind: breaker, rating: 99 A, resistance: 1 mohm}")
    assert ohm(device_ohm(network.case.parts["read"])) == 0.001


def test_internal_resistance_is_the_stated_or_the_usual() -> None:
    typical = "b3: {kind: battery, chemistry: AGM, capacity: 200 Ah, nominal: 12 V}"
    network = net("b1 = inv", typical)
    assert internal_ohm(network.case.parts["b1"]) is network.case.parts["b1"].leaf("internal")
    # the table gives 2 to 6 mohm for 100 Ah, so half of it for 200 Ah
    assert domain_of(internal_ohm(network.case.parts["b3"])) == Span(0.001, 0.003)


def test_a_way_adds_up_and_cables_side_by_side_halve() -> None:
    network = net("b1+ = main = inv+ : 35 mm2, 1 m, 1 m\nb1- = inv- : 35 mm2, 2 m")
    inv, bank = network.case.parts["inv"], network.banks[0]
    ways = [network.way(inv, bank, pole) for pole in "+-"]
    assert ways[0] is not None and ways[1] is not None
    single = ohm(way_ohm(network.case, [ways[0], ways[1]], "lead"))
    assert single == pytest.approx(2 * (COPPER / 35 + 0.0002) + 0.0002 + COPPER * 2 / 35 + 0.0002)
    twice = net("b1+ = inv+ : 35 mm2, 2 m\nb1+ = inv+ : 35 mm2, 2 m")
    way = twice.way(twice.case.parts["inv"], twice.banks[0], "+")
    assert way is not None
    assert ohm(way_ohm(twice.case, [way], "lead")) == pytest.approx((COPPER * 2 / 35 + 0.0002) / 2)


def test_shares_of_a_bank_add_up_to_one_and_lean_to_the_near_battery() -> None:
    network = net(ONE_SIDE)
    its = made(network, "inv+", "inv-")
    near = ohm(its.share("b1", ("inv+", "inv-"), "near"))
    far = ohm(its.share("b2", ("inv+", "inv-"), "far"))
    link = 2 * (COPPER * 0.25 / 50 + 0.0002)
    assert near == pytest.approx((0.004 + link) / (0.008 + link))
    assert near + far == pytest.approx(1)


TWINS = """\
b1+ = b2+ : {link}
b1- = b2- : {link}
b1 = inv : 50 mm2, 1 m"""


@pytest.mark.parametrize(
    ("internal", "link", "joint", "share", "amps"),
    [
        # Worked by hand: near = (R + links) / (2 R + links), each link with the joints at its two ends.
        # Two of 4 mohm on short thick links; two of 1 mohm on long thin ones, 180 A drawn.
        ("4 mohm", "50 mm2, 0.25 m", 0.0001, 0.533, 96.0),
        ("1 mohm", "16 mm2, 0.6 m", 0.0003, 0.778, 140.0),
    ],
)
def test_twins_with_both_leads_on_one(internal: str, link: str, joint: float, share: float, amps: float) -> None:
    network = net(TWINS.format(link=link))
    resistance = load_text(f"case: c\nparts: {{b: {{kind: battery, internal: {internal}}}}}", "c").parts["b"]
    for name in ("b1", "b2"):
        network.case.parts[name].leaves["internal"] = resistance.leaf("internal")
    near = made(network, "inv+", "inv-").share("b1", ("inv+", "inv-"), "near")
    at = {**PLAIN, "tables.joint": exactly(joint)}
    found = near.domain(at)
    assert isinstance(found, Span)
    assert found.lo == pytest.approx(share, abs=0.002)
    assert 180 * found.lo == pytest.approx(amps, abs=0.5)
    # With copper from solid and cool to finely stranded and warm, and joints as they come, it still leans.
    whole = near.domain()
    assert isinstance(whole, Span) and 0.5 < whole.lo < share < whole.hi


def test_bars_with_equal_leads_share_equally() -> None:
    network = net("b1 = house : 50 mm2, 0.5 m\nb2 = house : 50 mm2, 0.5 m\nhouse = inv : 50 mm2, 1 m")
    share = made(network, "inv+", "inv-").share("b1", ("inv+", "inv-"), "b1")
    assert ohm(share) == pytest.approx(0.5)


def test_the_wiring_is_judged_with_equal_batteries_the_volts_with_their_own() -> None:
    network = net(ONE_SIDE)
    network.case.parts["b2"].leaves["internal"] = Leaf("b2.internal", exactly(0.008), "resistance", known=True)
    equal = ohm(made(network, "inv+", "inv-").share("b1", ("inv+", "inv-"), "b1"))
    own = ohm(made(network, "inv+", "inv-", equal=False).share("b1", ("inv+", "inv-"), "b1"))
    assert equal == pytest.approx(0.5334, abs=1e-4)
    assert own > 0.68


def test_two_links_side_by_side_are_two_branches() -> None:
    doubled = "b1+ = b2+ : 50 mm2, 0.25 m\n" + ONE_SIDE
    single = ohm(made(net(ONE_SIDE), "inv+", "inv-").share("b1", ("inv+", "inv-"), "b1"))
    double = ohm(made(net(doubled), "inv+", "inv-").share("b1", ("inv+", "inv-"), "b1"))
    assert 0.5 < double < single


def test_volts_lost_at_a_load_while_another_draws() -> None:
    network = net("b1 = house : 50 mm2, 1 m\nhouse = inv : 50 mm2, 1 m\nhouse = pump : 2.5 mm2, 3 m")
    network.case.parts["pump"].leaves["current"] = Leaf("pump.current", exactly(5.0), "current", known=True)
    its = made(network, "inv+", "inv-", "pump+", "pump-", equal=False)
    amps = Leaf("amps", exactly(200.0), "current")
    lost = its.lost(
        [("inv+", "inv-", amps), ("pump+", "pump-", network.case.parts["pump"].leaf("current"))],
        ("pump+", "pump-"),
        "lost",
    )
    shared = 0.004 + 2 * (COPPER / 50 + 0.0002)
    own = 2 * (COPPER * 3 / 2.5 + 0.0002)
    assert ohm(lost) == pytest.approx(205 * shared + 5 * own)


def test_dead_ends_carry_nothing_and_nothing_rests_on_them() -> None:
    plain = made(net(ONE_SIDE), "inv+", "inv-")
    tail = made(net(ONE_SIDE + "\nb2 = house = pump : 6 mm2, 1 m, 2 m"), "inv+", "inv-")
    assert len(tail.resistances) == len(plain.resistances)


@pytest.mark.parametrize(
    "dc",
    [
        "b1+ = b2+\nb1 = inv",  # the minus posts are not drawn as joined
        LINKED + "b1+ = inv+\nhouse- = inv-",  # the inverter's minus leads to bars that end there
        LINKED + "b1 = house",  # the inverter is not drawn at all
    ],
)
def test_what_is_not_drawn_as_joined_has_no_circuit(dc: str) -> None:
    network = net(dc)
    assert circuit(network, network.banks[0], {"inv+", "inv-"}, equal=True) is None


def test_a_battery_gives_its_share_of_the_current() -> None:
    its = made(net(ONE_SIDE), "inv+", "inv-")
    share = ohm(its.share("b1", ("inv+", "inv-"), "near"))
    amps = Leaf("amps", exactly(200.0), "current")
    assert ohm(its.battery_current("b1", ("inv+", "inv-", amps), "near")) == pytest.approx(200 * share)


def test_a_link_carries_what_the_far_battery_gives_whichever_way_it_was_written() -> None:
    amps = Leaf("amps", exactly(200.0), "current")
    for links in (LINKED, "b2+ = b1+ : 50 mm2, 0.25 m\nb2- = b1- : 50 mm2, 0.25 m\n"):
        network = net(links + "b1 = inv : 50 mm2, 1 m")
        its = made(network, "inv+", "inv-")
        far = ohm(its.battery_current("b2", ("inv+", "inv-", amps), "far"))
        for hop in list(network.case.hops.values())[:2]:
            assert ohm(its.through(hop, [("inv+", "inv-", amps)], hop.id)) == pytest.approx(far)


def test_the_resistance_seen_is_what_one_ampere_loses() -> None:
    its = made(net(ONE_SIDE), "inv+", "inv-")
    link = 2 * (COPPER * 0.25 / 50 + 0.0002)
    bank = 1 / (1 / 0.004 + 1 / (0.004 + link))
    lead = 2 * (COPPER * 1 / 50 + 0.0002)
    assert ohm(its.seen(("inv+", "inv-"), "seen")) == pytest.approx(bank + lead)


def test_what_bridges_a_device_stands_beside_it() -> None:
    network = net("b1+ = main = inv+ : 35 mm2, 1 m, 1 m\nb1- = inv- : 35 mm2, 2 m\nmain.in = main.out : 35 mm2, 0.2 m")
    assert network.device("main.in", "main.out") == "main"
    its = made(network, "inv+", "inv-")
    assert len(its.resistances) == len(made(net("b1+ = main = inv+\nb1- = inv-"), "inv+", "inv-").resistances) + 1
