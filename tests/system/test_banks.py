"""Banks: batteries joined by the wiring, declared as one, or loose and of one duty."""

from collections.abc import Callable

from ringout.system.banks import Bank
from ringout.system.network import Network

Net = Callable[..., Network]


def strings(network: Network) -> dict[str, tuple[tuple[str, ...], ...]]:
    return {bank.name: bank.strings for bank in network.banks}


def only(network: Network) -> Bank:
    (bank,) = network.banks
    return bank


PARALLEL = "b1+ = b2+\nb1- = b2-\n"


def test_posts_joined_alike_make_parallel_strings(net: Net) -> None:
    network = net(PARALLEL + "b1 = inv")
    assert only(network) == Bank("b1", ("b1", "b2"), (("b1",), ("b2",)), True)


def test_minus_to_plus_makes_one_string_the_most_positive_first(net: Net) -> None:
    network = net("b2- = b1+\nb2+ = inv+\nb1- = inv-")
    assert only(network).strings == (("b2", "b1"),)
    assert only(network).joined


def test_two_strings_side_by_side(net: Net) -> None:
    network = net("b1- = b2+\nb3- = b4+\nb1+ = b3+\nb2- = b4-\nb1+ = inv+\nb4- = inv-")
    assert only(network).strings == (("b1", "b2"), ("b3", "b4"))


def test_strings_linked_across_the_middle_stay_two_strings(net: Net) -> None:
    network = net("b1- = b2+\nb3- = b4+\nb1+ = b3+\nb2- = b4-\nb1- = b3-\nb1+ = inv+\nb4- = inv-")
    assert only(network).strings == (("b1", "b2"), ("b3", "b4"))


def test_linked_strings_are_told_apart_by_their_own_links_in_any_order(net: Net) -> None:
    lines = ["b1- = b2+", "b3- = b4+", "b1- = b3-", "b1+ = b3+", "b2- = b4-", "b1+ = inv+", "b4- = inv-"]
    lines[:2] = ["b1- = b4+", "b3- = b2+"]
    for order in (lines, lines[::-1]):
        assert only(net("\n".join(order))).strings == (("b1", "b4"), ("b3", "b2"))


def test_a_common_negative_joins_no_banks(net: Net) -> None:
    network = net("b1- = b2-\nb1+ = inv+\nb1- = inv-\nb2+ = pump+\nb2- = pump-")
    assert strings(network) == {"b1": (("b1",),), "b2": (("b2",),)}


def test_a_link_between_banks_counts_as_open_and_a_switch_as_closed(net: Net) -> None:
    tail = "b1- = b2-\nb1 = inv\nb2 = pump"
    assert len(net("b1+ = link = b2+\n" + tail).banks) == 2
    assert len(net("b1+ = sw = b2+\n" + tail).banks) == 1


def test_a_bank_of_which_half_is_drawn_is_not_known_to_be_joined(net: Net) -> None:
    half = net("b1+ = b2+\nb1 = inv")
    assert only(half) == Bank("b1", ("b1", "b2"), (("b1",), ("b2",)), False)
    apart = net("b1+ = b2+\nb1 = inv\nb2- = pump-")
    assert not only(apart).joined, "the two minus posts meet nowhere"


def test_loose_batteries_of_one_duty_are_one_bank_not_joined(net: Net) -> None:
    parts = "b1: {kind: battery}\nb2: {kind: battery}\ns: {kind: battery, duty: start}"
    network = net("", parts)
    assert [(bank.name, bank.batteries, bank.joined) for bank in network.banks] == [
        ("b1", ("b1", "b2"), False),
        ("s", ("s",), True),
    ]


def test_a_declared_bank_has_its_own_name_and_is_joined_only_as_drawn(net: Net) -> None:
    parts = "b1: {kind: battery}\nb2: {kind: battery}\nsolid: {kind: bank, of: b1 b2}"
    assert net("", parts).banks == [Bank("solid", ("b1", "b2"), (("b1",), ("b2",)), False)]
    assert net(PARALLEL + "b1 = inv", parts).banks[0].joined
    assert not net("b1 = inv\nb2 = pump", parts).banks[0].joined


def test_batteries_in_a_ring_do_not_hang(net: Net) -> None:
    assert len(net("b1- = b2+\nb2- = b1+").banks) == 1


def test_two_strings_of_unlike_height_keep_the_shorter_count(net: Net) -> None:
    network = net("b1- = b2+\nb1- = b3+\nb2- = b3-\nb1+ = inv+\nb2- = inv-")
    assert only(network).strings == (("b1", "b2"),)


def test_a_bank_goes_by_the_first_of_its_batteries_in_order_of_name(net: Net) -> None:
    dc = "b2+ = b1+ : 35 mm2, 0.3 m\nb2- = b1- : 35 mm2, 0.3 m"
    told = ["b1: {kind: battery, nominal: 12 V}", "b2: {kind: battery, nominal: 12 V}"]
    made = [net(dc, "\n".join(parts)).banks for parts in (told, told[::-1])]
    assert made[0] == made[1]
    assert [(bank.name, bank.batteries) for bank in made[0]] == [("b1", ("b1", "b2"))]


def test_loose_batteries_go_by_name_whichever_was_written_first(net: Net) -> None:
    told = [f"{name}: {{kind: battery, nominal: 12 V, duty: {duty}}}" for name, duty in
            (("cab", "start"), ("aft", "house"), ("bow", "house"))]  # fmt: skip
    made = [net("", "\n".join(parts)).banks for parts in (told, told[::-1])]
    assert made[0] == made[1]
    assert [bank.name for bank in made[0]] == ["aft", "cab"]
