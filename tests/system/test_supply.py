"""What feeds an AC consumer in each operating state, drawn wiring or not."""

from ringout.case.case import Case
from ringout.case.load import load_text
from ringout.quantity.span import Choice
from ringout.quantity.traced import domain_of
from ringout.system.states import states
from ringout.system.supply import Supply


def van(parts: str, ac: str = "", **more: str) -> Case:
    """The counting society's van with the parts and feeds given, one a line."""
    lines = ["case: the ringers' van", "parts:", *(f"  {line}" for line in parts.strip().splitlines())]
    if ac:
        lines += ["ac:", *(f"  - {line}" for line in ac.strip().splitlines())]
    lines += [f"{key}: {value}" for key, value in more.items()]
    return load_text("\n".join(lines), "van.yaml")


def fed(case: Case, consumer: str, source: str, state: str) -> set[str]:
    """The answers still possible."""
    value = Supply(case).fed_by(case.parts[consumer], case.parts[source], states()[state])
    domain = value.domain()
    assert isinstance(domain, Choice)
    return set(domain.options)


def paths(case: Case, consumer: str, source: str, state: str) -> list[str]:
    """The open leaves an answer rests on."""
    value = Supply(case).fed_by(case.parts[consumer], case.parts[source], states()[state])
    return [leaf.path for leaf in value.leaves if not domain_of(leaf).exact]


SEPARATE = """\
inlet: {kind: inlet}
inv: {kind: inverter}
co: {kind: changeover, works: by_hand}
gpo: {kind: outlet}
chg: {kind: mains_charger}"""
BEHIND = "inlet > co.shore\ninv > co.inverter\nco > gpo > chg"
AHEAD = "inlet > co.shore\ninv > co.inverter\nco > gpo\ninlet > chg"


def test_away_the_charger_behind_the_changeover_runs_from_the_inverter() -> None:
    case = van(SEPARATE, BEHIND)
    assert fed(case, "chg", "inv", "away_on") == {"yes"}
    assert fed(case, "chg", "inlet", "away_on") == {"no"}
    assert fed(case, "chg", "inv", "away_off") == {"no"}
    assert fed(case, "chg", "inlet", "shore") == {"yes"}
    assert fed(case, "chg", "inlet", "shore_on") == {"yes"}


def test_a_charger_fed_ahead_of_the_changeover_drops_out_away() -> None:
    case = van(SEPARATE, AHEAD)
    assert fed(case, "chg", "inv", "away_on") == {"no"}
    assert fed(case, "gpo", "inv", "away_on") == {"yes"}
    assert fed(case, "chg", "inlet", "left_over") == {"yes"}


def test_a_hand_changeover_left_over_feeds_from_the_inverter_on_shore() -> None:
    for works in ("by_hand", "plug_swap", "interlocked_breakers"):
        case = van(SEPARATE.replace("by_hand", works), BEHIND)
        assert fed(case, "chg", "inv", "left_over") == {"yes"}, works
        assert fed(case, "chg", "inlet", "left_over") == {"no"}, works


def test_an_automatic_changeover_has_no_lapse() -> None:
    for works in ("automatic", "priority_relay"):
        case = van(SEPARATE.replace("by_hand", f"{works}, wins: shore"), BEHIND)
        assert fed(case, "chg", "inv", "left_over") == {"no"}, works
        assert fed(case, "chg", "inlet", "left_over") == {"yes"}, works
        assert fed(case, "chg", "inv", "away_on") == {"yes"}, works


def test_an_automatic_changeover_takes_the_supply_that_wins() -> None:
    case = van(SEPARATE.replace("by_hand", "automatic, wins: inverter"), BEHIND)
    assert fed(case, "chg", "inv", "shore_on") == {"yes"}
    assert fed(case, "chg", "inlet", "shore") == {"yes"}
    by_hand = van(SEPARATE.replace("by_hand", "by_hand, wins: inverter"), BEHIND)
    assert fed(by_hand, "chg", "inlet", "shore_on") == {"yes"}


def test_which_supply_wins_is_not_known_where_nobody_says() -> None:
    case = van(SEPARATE.replace("by_hand", "automatic"), BEHIND)
    assert fed(case, "chg", "inv", "shore_on") == {"yes", "no"}
    assert paths(case, "chg", "inv", "shore_on") == ["co.wins"]
    assert fed(case, "chg", "inv", "away_on") == {"yes"}
    by_hand = van(SEPARATE, BEHIND)
    assert paths(by_hand, "chg", "inv", "shore_on") == []


def test_a_changeover_nobody_understood_leaves_the_lapse_open() -> None:
    case = van(SEPARATE.replace("by_hand", "unknown"), BEHIND)
    assert fed(case, "chg", "inv", "left_over") == {"yes", "no"}
    assert paths(case, "chg", "inv", "left_over") == ["co.wins", "co.works"]
    assert fed(case, "chg", "inv", "away_on") == {"yes"}


def test_one_of_two_feeds_makes_two_worlds() -> None:
    case = van(SEPARATE, "inlet > co.shore\ninv > co.inverter\nco > gpo\nco | inlet > chg")
    assert fed(case, "chg", "inv", "away_on") == {"yes", "no"}
    assert paths(case, "chg", "inv", "away_on") == ["chg.fed_from"]
    assert fed(case, "chg", "inlet", "shore") == {"yes"}, "both feeds come from the inlet on shore"


def test_a_supposed_feed_settles_nothing() -> None:
    supposed = "inlet > co.shore\ninv > co.inverter\nco > gpo\n{feed: inlet > chg, supposed: yes}"
    case = van(SEPARATE, supposed)
    assert fed(case, "chg", "inlet", "shore") == {"yes", "no"}
    (leaf,) = Supply(case).fed_by(case.parts["chg"], case.parts["inlet"], states()["shore"]).leaves
    assert leaf.hint == Choice(frozenset({"inlet.ac"}))


def test_a_consumer_without_a_feed_is_judged_by_a_look() -> None:
    parts = "inlet: {kind: inlet}\ninv: {kind: inverter}\nchg: {kind: mains_charger, live_on_inverter: %s}"
    assert fed(van(parts % "yes"), "chg", "inv", "away_on") == {"yes"}
    assert fed(van(parts % "no"), "chg", "inv", "away_on") == {"no"}
    case = van(parts % "unknown")
    assert fed(case, "chg", "inv", "away_on") == {"yes", "no"}
    assert "chg.live_on_inverter" in paths(case, "chg", "inv", "away_on")


def test_a_look_counts_on_shore_and_when_left_over() -> None:
    parts = "inlet: {kind: inlet}\ninv: {kind: inverter}\nchg: {kind: mains_charger, %s}"
    live = van(parts % "live_on_inverter: yes, live_on_shore: yes")
    assert fed(live, "chg", "inlet", "shore") == {"yes"}
    assert fed(live, "chg", "inlet", "shore_on") == {"yes"}
    assert fed(live, "chg", "inv", "left_over") == {"yes"}
    dead = van(parts % "live_on_inverter: no, live_on_shore: no")
    assert fed(dead, "chg", "inlet", "shore") == {"no"}


def test_a_look_at_the_consumer_counts_where_the_way_up_is_not_drawn_to_its_end() -> None:
    parts = SEPARATE.replace(
        "chg: {kind: mains_charger}", "chg: {kind: mains_charger, live_on_inverter: yes}"
    )
    assert fed(van(parts, "gpo > chg"), "chg", "inv", "away_on") == {"yes"}
    drawn = van(parts, AHEAD)
    assert fed(drawn, "chg", "inv", "away_on") == {"yes"}, "a look that shows it live outranks the drawing"
    dark = van(parts.replace("live_on_inverter: yes", "live_on_inverter: no"), AHEAD)
    assert fed(dark, "chg", "inv", "away_on") == {"no"}, "a wiring drawn to its end is walked"


def test_a_consumer_behind_an_outlet_without_a_feed_asks_for_a_look_at_the_outlet() -> None:
    case = van(SEPARATE, "gpo > chg")
    assert paths(case, "chg", "inv", "away_on") == ["gpo.live_on_inverter", "gpo.live_on_shore"]


def test_an_inverter_charger_passes_shore_on_and_inverts_when_away() -> None:
    case = van(
        "inlet: {kind: inlet}\ncombi: {kind: inverter_charger}\ngpo: {kind: outlet}", "inlet > combi > gpo"
    )
    assert fed(case, "combi", "inlet", "shore_on") == {"yes"}
    assert fed(case, "gpo", "inlet", "shore_on") == {"yes"}
    assert fed(case, "gpo", "combi", "away_on") == {"yes"}


def test_an_inverter_charger_never_feeds_itself() -> None:
    parts = (
        "inlet: {kind: inlet}\ncombi: {kind: inverter_charger}\nco: {kind: changeover}\ngpo: {kind: outlet}"
    )
    for ac in ("inlet > combi > gpo", "inlet > co.shore\ncombi > co.inverter\nco > combi\nco > gpo", ""):
        case = van(parts, ac)
        for state in states():
            assert fed(case, "combi", "combi", state) == {"no"}, (ac, state)


def test_an_inverter_charger_whose_input_nobody_drew_is_not_dead_on_shore() -> None:
    case = van("inlet: {kind: inlet}\ncombi: {kind: inverter_charger}\ngpo: {kind: outlet}", "combi > gpo")
    assert fed(case, "combi", "inlet", "shore") == {"yes", "no"}
    assert paths(case, "combi", "inlet", "shore") == ["combi.live_on_shore"]
    assert fed(case, "gpo", "combi", "away_on") == {"yes"}


def test_of_two_inverters_each_may_be_the_one() -> None:
    parts = "one: {kind: inverter}\ntwo: {kind: inverter}\nchg: {kind: mains_charger, live_on_inverter: yes}"
    case = van(parts)
    assert fed(case, "chg", "one", "away_on") == {"yes", "no"}
    assert fed(case, "chg", "two", "away_on") == {"yes", "no"}
    assert paths(case, "chg", "one", "away_on") == ["chg.which_inverter"]
    wired = van(parts, "one > chg")
    assert fed(wired, "chg", "one", "away_on") == {"yes"}
    assert fed(wired, "chg", "two", "away_on") == {"no"}


TWINS = """\
one: {kind: inverter}
two: {kind: inverter}
co: {kind: changeover, works: %s}
chg: {kind: mains_charger}"""


def test_of_two_inverters_at_one_changeover_both_feed_where_nothing_parts_them() -> None:
    for ac in ("one > co.a\ntwo > co.b\nco > chg", "two > co.a\none > co.b\nco > chg"):
        for source in ("one", "two"):
            assert fed(van(TWINS % "none", ac), "chg", source, "away_on") == {"yes"}, (ac, source)
            assert fed(van(TWINS % "by_hand", ac), "chg", source, "away_on") == {"yes", "no"}, (ac, source)
    assert "co.which_inverter" in paths(van(TWINS % "by_hand", ac), "chg", "one", "away_on")


def test_of_two_shore_inlets_each_may_be_the_one() -> None:
    case = van("bow: {kind: inlet}\nstern: {kind: inlet}\nchg: {kind: mains_charger, live_on_shore: yes}")
    assert fed(case, "chg", "bow", "shore") == {"yes", "no"}
    assert fed(case, "chg", "stern", "shore") == {"yes", "no"}


def test_cycles_in_the_wiring_do_not_hang() -> None:
    parts = "inlet: {kind: inlet}\na: {kind: board}\nb: {kind: board}\ngpo: {kind: outlet}"
    parts += "\nco: {kind: changeover}"
    ring = van(parts, "a > b\nb > a\na > gpo")
    for state in states():
        assert fed(ring, "gpo", "inlet", state) == {"no"}
    through = van(parts, "inlet > co.shore\nco > a\na > b\nb > co.inverter\na > gpo")
    assert fed(through, "gpo", "inlet", "shore") == {"yes"}
    assert Supply(ring).passes(ring.parts["gpo"], "rcd").domain() == Choice(frozenset({"none"}))


def test_a_generator_feeds_while_it_runs() -> None:
    case = van(
        "inlet: {kind: inlet}\ngen: {kind: generator}\ninv: {kind: inverter}\n"
        "co: {kind: changeover, works: automatic}\nchg: {kind: mains_charger}",
        "inlet > co.shore\ngen > co.generator\nco > chg",
    )
    assert fed(case, "chg", "gen", "generator") == {"yes"}
    assert fed(case, "chg", "gen", "shore") == {"no"}
    assert fed(case, "chg", "inlet", "shore") == {"yes"}


def test_a_changeover_half_or_not_drawn_is_judged_by_a_look() -> None:
    for ac in ("co > gpo > chg", "inlet > co.shore\nco > gpo > chg"):
        case = van(SEPARATE, ac)
        assert fed(case, "chg", "inv", "away_on") == {"yes", "no"}, ac
        assert "co.live_on_inverter" in paths(case, "chg", "inv", "away_on")


def test_shore_begins_at_the_post_where_one_is_written() -> None:
    case = van(
        "post: {kind: shore_supply}\ninlet: {kind: inlet}\nchg: {kind: mains_charger}", "post > inlet > chg"
    )
    assert [(part.name, sort) for part, sort in Supply(case).sources()] == [("post", "shore")]
    assert fed(case, "chg", "post", "shore") == {"yes"}


def test_consumers_use_or_hand_out_mains() -> None:
    case = van(SEPARATE + "\nkettle: {kind: appliance}\nb1: {kind: battery}\nheater: {kind: water_heater}")
    assert [part.name for part in Supply(case).consumers()] == ["gpo", "chg", "kettle", "heater"]


def ways(ac: str) -> set[str]:
    case = van(SEPARATE + "\nrcd: {kind: rcd}\nmaybe: {kind: rcd, supposed: yes}", ac)
    domain = Supply(case).passes(case.parts["gpo"], "rcd").domain()
    assert isinstance(domain, Choice)
    return set(domain.options)


def test_every_way_up_must_pass_the_rcd() -> None:
    assert ways("inlet > co.shore\ninv > co.inverter\nco > rcd > gpo") == {"yes"}
    assert ways("inlet > rcd > co.shore\ninv > co.inverter\nco > gpo") == {"no"}
    assert ways("inlet > gpo") == {"no"}
    assert ways("rcd > gpo") == {"none"}, "nothing above it is drawn"
    assert ways("inlet > maybe > gpo") == {"no"}, "a supposed RCD guards nobody"
    assert ways("inlet | rcd > gpo\ninv > rcd") == {"yes", "no"}
    assert ways("{feed: inlet > gpo, supposed: yes}") == {"no", "none"}


def test_an_rcd_ahead_of_an_inverter_charger_does_not_guard_what_it_inverts() -> None:
    case = van(
        "inlet: {kind: inlet}\nrcd: {kind: rcd}\ncombi: {kind: inverter_charger}\ngpo: {kind: outlet}",
        "inlet > rcd > combi > gpo",
    )
    assert Supply(case).passes(case.parts["gpo"], "rcd").domain() == Choice(frozenset({"no"}))


def test_wired_is_any_feed_to_or_from() -> None:
    case = van(SEPARATE, "inlet > gpo")
    supply = Supply(case)
    assert [part.name for part in case.parts.values() if supply.wired(part)] == ["inlet", "gpo"]


def test_many_open_words_say_yes_or_no_and_never_fail() -> None:
    boards = [f"b{n}: {{kind: board}}" for n in range(8)]
    feeds = [f"b{n} | inlet > b{n + 1}" for n in range(7)]
    case = van(
        "inlet: {kind: inlet}\n" + "\n".join(boards) + "\ngpo: {kind: outlet}",
        "\n".join([*feeds, "b7 > gpo"]),
    )
    assert fed(case, "gpo", "inlet", "shore") == {"yes", "no"}
