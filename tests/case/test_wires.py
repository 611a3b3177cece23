"""Chains and feeds against the parts: terminals, hops, ids, shared leaves, feeds nobody is sure of."""

import pytest

from ringout.case.case import NOTHING, Case
from ringout.case.load import load_text
from ringout.case.wires import total_length_m
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import Traced, domain_of
from ringout.text.problem import Spot, Unusable

PARTS = """\
case: the marsh boat
parts:
  b1: {kind: battery}
  b2: {kind: battery}
  fmain: {kind: fuse}
  iso: {kind: isolator}
  house: {kind: busbars}
  lamp: {kind: dc_load}
  mppt: {kind: solar_controller}
  panel: {kind: solar_panel}
  inlet: {kind: inlet}
  inv: {kind: inverter}
  both: {kind: inverter_charger}
  co: {kind: changeover}
  board: {kind: board}
  gpo: {kind: outlet}
  chg: {kind: mains_charger}
"""


def wired(*lines: str, ac: bool = False) -> Case:
    block = "ac:\n" if ac else "dc:\n"
    return load_text(PARTS + block + "".join(f"  - {line}\n" for line in lines), "c.yaml")


def refused(*lines: str, ac: bool = False) -> list[str]:
    with pytest.raises(Unusable) as caught:
        wired(*lines, ac=ac)
    return str(caught.value).splitlines()


def joined(case: Case) -> dict[str, tuple[str, str]]:
    return {hop.id: (hop.a, hop.b) for hop in case.hops.values()}


# -- DC --------------------------------------------------------------------------------------------------


def test_a_chain_of_one_pole_passes_devices_from_in_to_out() -> None:
    assert joined(wired("b1+ = fmain = iso = house+")) == {
        "b1+~fmain": ("b1+", "fmain.in"),
        "fmain~iso": ("fmain.out", "iso.in"),
        "iso~house+": ("iso.out", "house+"),
    }


def test_an_end_of_a_device_can_be_named() -> None:
    assert joined(wired("house+ = fmain.out")) == {"house+~fmain.out": ("house+", "fmain.out")}
    assert joined(wired("fmain.in = fmain.out")) == {"fmain.in~fmain.out": ("fmain.in", "fmain.out")}


def test_pairs_are_joined_by_both_poles_with_devices_in_plus() -> None:
    assert joined(wired("house = fmain = lamp")) == {
        "house~fmain": ("house+", "fmain.in"),
        "fmain~lamp": ("fmain.out", "lamp+"),
        "house-~lamp-": ("house-", "lamp-"),
    }


def test_minus_runs_from_pair_to_pair() -> None:
    case = wired("b1 = fmain = house = iso = lamp : 50 mm2, 1 m, 2 m, 3 m, 4 m")
    minus = {id: domain_of(hop.length) for id, hop in case.hops.items() if "-~" in id}
    assert minus == {"b1-~house-": Span(3, 3), "house-~lamp-": Span(7, 7)}


def test_a_return_on_the_same_route_shares_the_leaves_of_the_run() -> None:
    case = wired("house = lamp : unknown, about 2 m")
    plus, minus = case.hops["house~lamp"], case.hops["house-~lamp-"]
    assert minus.size is plus.size
    assert minus.length is plus.length
    through = wired("house = fmain = lamp : 6 mm2, about 1 m, about 2 m").hops
    back = through["house-~lamp-"].length
    assert isinstance(back, Traced)
    assert back.inputs == (through["house~fmain"].length, through["fmain~lamp"].length)
    assert back.name == "house-~lamp-.length"
    assert through["house-~lamp-"].size is through["house~fmain"].size


def test_the_default_port_is_left_out_of_a_terminal() -> None:
    assert joined(wired("mppt.pv = panel")) == {
        "mppt.pv~panel": ("mppt.pv+", "panel+"),
        "mppt.pv-~panel-": ("mppt.pv-", "panel-"),
    }
    assert joined(wired("mppt.battery+ = b1+")) == {"mppt.battery+~b1+": ("mppt+", "b1+")}


def test_sizes_and_lengths_are_leaves_of_their_hop() -> None:
    case = wired("b1+ = fmain = house+ : 50 mm2 (label), 0.2 m, about 0.5 m")
    first, second = case.hops.values()
    assert (first.size.path, first.size.domain) == ("b1+~fmain.size", Span(50, 50))
    assert (first.size.origin, first.size.known) == (Origin.LABEL, True)
    assert isinstance(second.length, Leaf)
    assert (second.length.path, second.length.domain) == ("fmain~house+.length", Span(0.425, 0.575))
    assert second.length.spot == Spot("c.yaml", 19, 51)


def test_what_is_not_said_of_a_run_is_as_wide_as_its_form_allows() -> None:
    run = wired("b1+ = b2+").hops["b1+~b2+"]
    assert (run.size.domain, run.size.known) == (Span(0.5, 240), False)
    assert isinstance(run.length, Leaf)
    assert (run.length.domain, run.length.known) == (Span(0.05, 30), False)


def test_cables_side_by_side_are_runs_of_their_own() -> None:
    case = wired("b1 = house : 25 mm2, 1 m", "b1 = house : 35 mm2, 1 m", "b1 = house : 50 mm2, 1 m")
    assert list(case.hops) == [
        "b1~house", "b1-~house-", "b1~house#2", "b1-~house-#2", "b1~house#3", "b1-~house-#3",
    ]  # fmt: skip
    sizes = [hop.size.domain for hop in case.hops.values()]
    assert sizes == [Span(mm2, mm2) for mm2 in (25, 25, 35, 35, 50, 50)]
    assert len({hop.size.path for hop in case.hops.values()}) == 3


def test_more_said_of_two_equal_lines_stays_apart() -> None:
    case = wired("{run: b1+ = b2+, lug: crimped}", "{run: b1+ = b2+, lug: twisted}")
    sheets = [hop.sheet for hop in case.hops.values()]
    assert [its.word("lug") for its in sheets if its] == ["crimped", "twisted"]
    assert [its.leaf("lug").path for its in sheets if its] == ["b1+~b2+.lug", "b1+~b2+#2.lug"]


def test_what_is_said_of_a_line_holds_for_all_its_hops() -> None:
    case = wired("{run: b1+ = fmain = house+, lug: crimped, colour: red}")
    sheets = [hop.sheet for hop in case.hops.values()]
    assert len({id(its.leaf("lug")) for its in sheets if its}) == 1
    assert [its.texts["colour"] for its in sheets if its] == ["red", "red"]


def test_a_run_can_be_given_a_name() -> None:
    case = wired("{run: b1+ = b2+, name: link, size: 25 mm2}")
    assert case.hops["link"].size.path == "link.size"


@pytest.mark.parametrize("name", ["lamp", "link"])
def test_a_name_is_given_once(name: str) -> None:
    found = refused(f"{{run: b1+ = b2+, name: {name}}}", "{run: b1- = b2-, name: link}")
    assert all("expected a name that nothing else has" in line for line in found)


def test_what_a_supposed_run_is_like_is_supposed_too() -> None:
    run = wired("{run: b1+ = b2+, supposed: yes, size: 25 mm2, length: 1 m (seen)}").hops["b1+~b2+"]
    assert run.supposed
    assert (run.size.known, run.size.hint) == (False, Span(25, 25))
    assert isinstance(run.length, Leaf)
    assert run.length.known
    assert (run.there.known, run.there.hint) == (False, Choice(frozenset({"yes"})))


def test_a_run_that_was_seen_is_there() -> None:
    assert wired("b1+ = b2+").hops["b1+~b2+"].there.domain == Choice(frozenset({"yes"}))


def test_a_mistake_in_a_size_for_several_hops_is_told_once() -> None:
    assert refused("b1+ = fmain = house+ : 6 mm, 1 m, 2 m") == [
        "c.yaml:19:28: dc.1.b1+ = fmain = house+: expected one clear meaning, found '6 mm'; it could be "
        "6 mm2 of copper or 6 mm auto, the outside diameter (4.59 mm2 of copper)"
    ]


def test_lengths_add_up() -> None:
    assert total_length_m(0.25, 0.5, 1) == 1.75


# -- AC --------------------------------------------------------------------------------------------------


def fed(*lines: str) -> list[tuple[tuple[str, ...], str]]:
    return [(feed.sources, feed.to) for feed in wired(*lines, ac=True).feeds]


def test_each_stage_feeds_the_next() -> None:
    assert fed("inlet > co.shore", "inv > co.inverter", "co > board > gpo, chg") == [
        (("inlet.ac",), "co.shore"),
        (("inv.ac",), "co.inverter"),
        (("co.ac",), "board.ac"),
        (("board.ac",), "gpo.ac"),
        (("board.ac",), "chg.ac"),
    ]


def test_a_port_can_be_named() -> None:
    assert fed("both.second_out > gpo", "inlet > both.second_in") == [
        (("both.second_out",), "gpo.ac"),
        (("inlet.ac",), "both.second_in"),
    ]


def test_a_feed_that_was_seen_is_settled() -> None:
    feed = wired("board > chg", ac=True).feeds[0]
    assert (feed.id, feed.choice.path) == ("board.ac~chg.ac", "chg.fed_from")
    assert (feed.choice.domain, feed.choice.known) == (Choice(frozenset({"board.ac"})), True)
    assert (feed.choice.origin, feed.spot.column) == (Origin.SEEN, 13)


def test_of_two_feeds_nobody_knows_which() -> None:
    feed = wired("board | inlet > chg", ac=True).feeds[0]
    assert feed.sources == ("board.ac", "inlet.ac")
    assert feed.choice.domain == Choice(frozenset({"board.ac", "inlet.ac"}))
    assert (feed.choice.known, feed.choice.origin, feed.choice.hint) == (False, Origin.NOT_STATED, None)


def test_a_supposed_feed_may_come_from_nothing() -> None:
    feed = wired("{feed: board > chg, supposed: yes}", ac=True).feeds[0]
    assert feed.choice.domain == Choice(frozenset({"board.ac", NOTHING}))
    assert (feed.choice.known, feed.choice.hint) == (False, Choice(frozenset({"board.ac"})))
    assert feed.choice.origin is Origin.SUPPOSED


def test_two_doubtful_feeds_of_one_part_are_two_questions() -> None:
    case = wired("board | inlet > both", "board | inv > both.second_in", "inlet | inv > co.shore", ac=True)
    assert [feed.choice.path for feed in case.feeds] == [
        "both.fed_from", "both.second_in.fed_from", "co.shore.fed_from",
    ]  # fmt: skip


def test_what_is_said_of_a_feed_is_kept() -> None:
    feed = wired("{feed: board > chg, size: 2.5 mm2, length: 3 m, note: behind the bunk}", ac=True).feeds[0]
    assert feed.sheet is not None
    assert feed.sheet.leaf("size").domain == Span(2.5, 2.5)
    assert feed.sheet.leaf("length").path == "board.ac~chg.ac.length"
    assert feed.sheet.texts == {"note": "behind the bunk"}


def test_nothing_is_fed_twice_unless_it_is_said_that_one_of_two_feeds_it() -> None:
    assert refused("board > chg", "inlet > chg", ac=True) == [
        "c.yaml:20:13: ac.2: expected one line that feeds chg, found a second one; "
        "write 'a | b > chg' where nobody knows which"
    ]


def test_a_part_that_could_not_be_read_is_not_also_called_missing() -> None:
    text = PARTS.replace("b1: {kind: battery}", "b1: {kind: batery}") + "dc: [b1+ = b2+]\n"
    with pytest.raises(Unusable) as caught:
        load_text(text, "c.yaml")
    assert len(caught.value.problems) == 1
