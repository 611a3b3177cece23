"""The DC graph: who hangs on which, ways, what a fuse guards, take-off."""

from collections.abc import Callable

import pytest

from ringout.quantity.span import Choice
from ringout.system.banks import Bank
from ringout.system.network import Network, Step

Net = Callable[..., Network]


def strings(network: Network) -> dict[str, tuple[tuple[str, ...], ...]]:
    return {bank.name: bank.strings for bank in network.banks}


def only(network: Network) -> Bank:
    (bank,) = network.banks
    return bank


def on(network: Network, part: str, bank: str) -> set[str]:
    its = next(each for each in network.banks if each.name == bank)
    domain = network.on_bank(network.case.parts[part], its).domain()
    assert isinstance(domain, Choice)
    return set(domain.options)


def spelled(way: list[Step] | None) -> list[str] | None:
    return None if way is None else [step.device or (step.hop.id if step.hop else "?") for step in way]


PARALLEL = "b1+ = b2+\nb1- = b2-\n"
SERIES = "b1- = b2+\n"

# -- who hangs on which bank ---------------------------------------------------------------------------------


def test_a_charger_between_two_banks_keeps_them_apart(net: Net) -> None:
    network = net("b1 = dcdc\nb2 = dcdc.in\nb1- = b2-")
    assert list(strings(network)) == ["b1", "b2"]
    assert on(network, "dcdc", "b1") == {"yes"}
    assert on(network, "dcdc", "b2") == {"no"}


def test_a_part_without_runs_hangs_on_the_only_bank_or_on_one_of_several(net: Net) -> None:
    one = net("b1 = inv")
    assert on(one, "mppt", "b1") == {"yes"}
    two = net("b1 = inv\nb2 = pump\nb1- = b2-")
    assert on(two, "mppt", "b1") == {"yes", "no"}
    (leaf,) = two.on_bank(two.case.parts["mppt"], two.banks[0]).leaves
    assert leaf.path == "mppt.battery"
    assert leaf.domain == Choice(frozenset({"b1", "b2"}))


def test_a_part_whose_runs_end_before_any_bank_is_not_off_it(net: Net) -> None:
    network = net("b1 = pump\nhouse = inv")
    assert on(network, "inv", "b1") == {"yes"}, "there is one bank, and it must draw on something"
    two = net("b1 = pump\nb2 = mppt\nb1- = b2-\nhouse = inv")
    assert on(two, "inv", "b1") == {"yes", "no"}


def test_a_part_wired_to_another_bank_is_off_this_one(net: Net) -> None:
    network = net("b1 = inv\nb2 = pump\nb1- = b2-")
    assert on(network, "inv", "b1") == {"yes"}
    assert on(network, "inv", "b2") == {"no"}


def test_a_supposed_run_or_device_leaves_it_open(net: Net) -> None:
    assert on(net("b2 = pump\nb1- = b2-\n{run: b1 = inv, supposed: yes}"), "inv", "b1") == {"yes", "no"}
    assert on(net("b2 = pump\nb1- = b2-\nb1 = maybe = inv"), "inv", "b1") == {"yes", "no"}
    assert on(net("{run: b1 = inv, supposed: yes}\nb1+ = inv+"), "inv", "b1") == {"yes"}, "one cable was seen"


# -- ways ----------------------------------------------------------------------------------------------------


def test_a_way_leads_to_the_nearest_post_through_what_sits_in_the_lead(net: Net) -> None:
    network = net(PARALLEL + "b2+ = main = sw = house+\nb1- = shunt = house-\nhouse = inv")
    inv, bank = network.case.parts["inv"], only(network)
    assert spelled(network.way(inv, bank, "+")) == [
        "house~inv",
        "sw~house+",
        "sw",
        "main~sw",
        "main",
        "b2+~main",
    ]
    assert spelled(network.way(inv, bank, "-")) == ["house-~inv-", "shunt~house-", "shunt", "b1-~shunt"]
    assert network.way(network.case.parts["pump"], bank, "+") is None


def test_cables_side_by_side_are_one_step(net: Net) -> None:
    network = net("b1+ = inv+\nb1+ = inv+\nb1- = inv-")
    (step,) = network.way(network.case.parts["inv"], only(network), "+") or []
    assert step.hop is not None
    assert [step.hop.id, *(hop.id for hop in step.beside)] == ["b1+~inv+", "b1+~inv+#2"]
    assert len(network.between("inv+", "b1+")) == 2
    assert network.between("b1+", "pump+") == []


def test_terminals_and_nets(net: Net) -> None:
    network = net("b1+ = main = house+\nb1- = house-")
    assert network.terminals(network.case.parts["house"], "+") == ["house+"]
    assert network.terminals(network.case.parts["inv"], "+") == []
    assert network.net("house+") == {"b1+", "main.in", "main.out", "house+"}
    assert network.net("inv+") == frozenset()


def test_what_the_wiring_rests_on_that_nobody_saw(net: Net) -> None:
    network = net("b1 = inv\n{run: b1+ = pump+, supposed: yes}\nb1+ = maybe = house+")
    assert sorted(leaf.path for leaf in network.supposed(only(network))) == ["b1+~pump+.there", "maybe.there"]
    way = network.way(network.case.parts["pump"], only(network), "+")
    assert way is not None
    assert [leaf.path for leaf in network.unseen(way)] == ["b1+~pump+.there"]
    seen = net("b1 = inv")
    assert seen.supposed(only(seen)) == ()


def test_whether_a_way_is_drawn(net: Net) -> None:
    network = net("b1+ = main = house+\nb1- = house-\nhouse+ = inv+")
    inv, bank = network.case.parts["inv"], only(network)
    assert (network.leads_to(inv, bank, "+"), network.leads_to(inv, bank, "-")) == (True, False)


# -- what a fuse guards --------------------------------------------------------------------------------------


def test_every_device_that_can_be_reached_with_the_shortest_way_to_it(net: Net) -> None:
    network = net("b1+ = main = house+\nb1- = shunt = house-\nhouse = brk = pump\nhouse = inv")
    bank = only(network)
    assert network.reached_devices(bank) == ["brk", "main"]
    assert spelled(network.way_to_device(bank, "main")) == ["b1+~main"]
    assert spelled(network.way_to_device(bank, "brk")) == ["b1+~main", "main", "main~house+", "house~brk"]
    apart = net("b1 = pump\nhouse = main = inv")
    assert apart.reached_devices(only(apart)) == []


def test_whether_anything_is_reached_without_a_device(net: Net) -> None:
    network = net("b1+ = main = house+\nb1- = house-\nhouse = inv")
    assert not network.leads_without(only(network), "overcurrent")
    assert network.leads_without(only(network), "switch")


def test_the_flood_stops_at_fuses_and_breakers(net: Net) -> None:
    network = net("b1+ = main = house+\nb1- = house-\nhouse = inv\nhouse = brk = pump")
    bank = only(network)
    assert network.reached_without(bank, "overcurrent") == {}
    assert list(network.first_devices(bank)) == ["main"], "the breaker behind it is not the first"
    assert network.drawn(bank)


def test_the_flood_finds_every_part_on_a_bare_lead(net: Net) -> None:
    network = net("b1+ = main = house+\nb1- = house-\nb1 = inv\nb1+ = sw = mppt+")
    assert sorted(network.reached_without(only(network), "overcurrent")) == ["inv", "mppt"]
    assert sorted(network.first_devices(only(network))) == ["main"]


def test_the_flood_starts_at_every_parallel_battery_and_at_the_top_of_a_string(net: Net) -> None:
    each_fused = net("b1+ = main = house+\nb2+ = brk = house+\nb1- = b2-\nb1- = house-")
    assert each_fused.reached_without(only(each_fused), "overcurrent") == {}
    assert sorted(each_fused.first_devices(only(each_fused))) == ["brk", "main"]
    string = net("b1- = b2+\nb1+ = main = house+\nb2- = house-")
    assert string.reached_without(only(string), "overcurrent") == {}


def test_a_fuse_in_minus_or_a_supposed_one_guards_nothing(net: Net) -> None:
    in_minus = net("b1+ = house+\nb1- = main = house-")
    assert list(in_minus.reached_without(only(in_minus), "overcurrent")) == ["house"]
    supposed = net("b1+ = maybe = house+\nb1- = house-")
    assert list(supposed.reached_without(only(supposed), "overcurrent")) == ["house"]
    assert supposed.first_devices(only(supposed)) == {}


def test_a_bank_without_leads_is_not_drawn(net: Net) -> None:
    network = net("", "b1: {kind: battery}")
    assert not network.drawn(only(network))


# -- take-off ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("leads", "plus", "minus"),
    [
        ("b1+ = inv+\nb1- = inv-", {0}, {0}),
        ("b1+ = inv+\nb2- = inv-", {0}, {1}),
        ("b1+ = main = house+\nb2- = house-\nhouse = inv", {0}, {1}),
    ],
)
def test_take_off_is_where_the_leads_leave_the_bank(net: Net, leads: str, plus: set[int], minus: set[int]) -> None:
    network = net(PARALLEL + leads)
    inv, bank = network.case.parts["inv"], only(network)
    assert network.take_off(inv, bank, "+") == plus
    assert network.take_off(inv, bank, "-") == minus


def test_bars_take_off_every_string(net: Net) -> None:
    network = net("b1 = house\nb2 = house\nhouse = inv")
    assert network.take_off(network.case.parts["inv"], only(network), "+") == {0, 1}


def test_take_off_of_strings_is_at_their_ends(net: Net) -> None:
    network = net("b1- = b2+\nb3- = b4+\nb1+ = b3+\nb2- = b4-\nb1+ = inv+\nb4- = inv-")
    inv, bank = network.case.parts["inv"], only(network)
    assert network.take_off(inv, bank, "+") == {0}
    assert network.take_off(inv, bank, "-") == {1}
