"""DC lines rewritten: what was not to be changed is as it was, in the file and in what it means."""

from collections.abc import Callable, Mapping

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ringout.case.case import Case
from ringout.case.load import load_text
from ringout.plan.runs import implied, rewritten, written
from ringout.quantity.span import Domain, Span
from ringout.quantity.traced import domain_of

MakeCase = Callable[..., Case]
Differs = Callable[[Case, Case], list[str]]
Meaning = Mapping[tuple[str, str], tuple[Domain, Domain]]

LINES = """\
  - b1+ = fuse = bars+ : 50 mm2 (label), 0.2 m, about 0.5 m   # main
  - b1- = shunt = bars- : 50 mm2, 0.3 m, 0.4 m
  - bars = inverter : 35 mm2, 2 m
  - {run: bars = charger, name: green_lead, size: 10 mm2, length: 3 m, lug: crimped}
  - b1 = b2
"""
PAIR = "  - bars = fuse = inverter : 35 mm2, 0.2 m, 2..3 m\n"


def after(
    case: Case, changes: Mapping[str, Mapping[str, str]] | None = None, removed: tuple[str, ...] = ()
) -> Case:
    return load_text(rewritten(case.document.text, case, changes or {}, removed), "after.yaml")


def meaning(case: Case) -> Meaning:
    """What the runs mean, whatever lines they stand on: by their ends, size and length."""
    return {(hop.a, hop.b): (domain_of(hop.size), domain_of(hop.length)) for hop in case.hops.values()}


def test_a_run_tells_what_is_written_of_it(wired: MakeCase) -> None:
    case = wired(LINES)
    run = written(case, "fuse~bars+")
    assert (run.a, run.b, run.size, run.length) == ("fuse", "bars+", "50 mm2 (label)", "about 0.5 m")
    assert written(case, "b1-~b2-").size == ""
    with pytest.raises(KeyError):
        written(case, "b3+~b4+")


def test_a_return_that_nobody_wrote_singly_is_implied(wired: MakeCase) -> None:
    case = wired(LINES)
    assert [id for id in case.hops if implied(case, id)] == ["bars-~inverter-", "bars-~charger-", "b1-~b2-"]


def test_a_size_of_a_whole_line_changes_where_it_stands(wired: MakeCase, differs: Differs) -> None:
    case = wired(LINES)
    made = after(case, {"bars~inverter": {"size": "70 mm2"}, "bars-~inverter-": {"size": "70 mm2"}})
    assert differs(case, made) == [
        "-   - bars = inverter : 35 mm2, 2 m",
        "+   - bars = inverter : 70 mm2, 2 m",
    ]


def test_a_length_changes_where_it_stands_and_the_return_with_it(wired: MakeCase, differs: Differs) -> None:
    case = wired(PAIR)
    made = after(case, {"bars~fuse": {"length": "0.1 m"}})
    assert differs(case, made)[1] == "+   - bars = fuse = inverter : 35 mm2, 0.1 m, 2..3 m"
    assert domain_of(made.hops["bars-~inverter-"].length) == Span(2.1, 3.1)


def test_one_size_of_a_chain_puts_that_run_on_a_line_of_its_own(wired: MakeCase, differs: Differs) -> None:
    case = wired(LINES)
    made = after(case, {"fuse~bars+": {"size": "70 mm2"}})
    assert differs(case, made) == [
        "-   - b1+ = fuse = bars+ : 50 mm2 (label), 0.2 m, about 0.5 m   # main",
        "+   - b1+ = fuse : 50 mm2 (label), 0.2 m   # main",
        "+   - fuse = bars+ : 70 mm2, about 0.5 m",
    ]


def test_a_removed_run_leaves_the_rest_of_its_line(wired: MakeCase, differs: Differs) -> None:
    case = wired(LINES)
    made = after(case, removed=("b1-~shunt",))
    assert differs(case, made) == [
        "-   - b1- = shunt = bars- : 50 mm2, 0.3 m, 0.4 m",
        "+   - shunt = bars- : 50 mm2, 0.4 m",
    ]


def test_a_line_of_both_poles_falls_apart_where_one_pole_changes(wired: MakeCase, differs: Differs) -> None:
    case = wired(PAIR)
    made = after(case, removed=("bars~fuse",))
    assert differs(case, made) == [
        "-   - bars = fuse = inverter : 35 mm2, 0.2 m, 2..3 m",
        "+   - fuse = inverter+ : 35 mm2, 2..3 m",
        "+   - bars- = inverter- : 35 mm2, 2.2..3.2 m",
    ]


def test_a_return_of_its_own_length_goes_on_a_line_of_its_own(wired: MakeCase, differs: Differs) -> None:
    case = wired(PAIR)
    made = after(case, {"bars-~inverter-": {"length": "4 m"}})
    assert differs(case, made)[1:] == [
        "+   - bars+ = fuse = inverter+ : 35 mm2, 0.2 m, 2..3 m",
        "+   - bars- = inverter- : 35 mm2, 4 m",
    ]


def test_a_return_of_unknown_length_stays_unknown(wired: MakeCase) -> None:
    made = after(wired("  - bars = fuse = inverter : 35 mm2, 0.2 m, unknown\n"), removed=("bars~fuse",))
    assert written(made, "bars-~inverter-").length == "unknown"


def test_what_else_is_said_of_a_line_goes_with_each_part_of_it(wired: MakeCase, differs: Differs) -> None:
    case = wired("  - {run: b1+ = fuse = bars+, name: main_lead, size: 50 mm2, lug: crimped}\n")
    made = after(case, {"fuse~bars+": {"size": "70 mm2"}})
    assert differs(case, made)[1:] == [
        "+   - {run: b1+ = fuse, name: main_lead, size: 50 mm2, lug: crimped}",
        "+   - {run: fuse = bars+, size: 70 mm2, lug: crimped}",
    ]
    made = after(case, {"fuse~bars+": {"length": "1 m"}})
    assert differs(case, made)[1:] == [
        "+   - {run: b1+ = fuse, name: main_lead, size: 50 mm2, lug: crimped}",
        "+   - {run: fuse = bars+, size: 50 mm2, length: 1 m, lug: crimped}",
    ]
    made = after(case, removed=("main_lead",))
    assert differs(case, made)[1:] == ["+   - {run: fuse = bars+, size: 50 mm2, lug: crimped}"]


def test_a_chain_without_measures_takes_one(wired: MakeCase, differs: Differs) -> None:
    case = wired(LINES)
    made = after(case, {"b1~b2": {"size": "35 mm2"}, "b1-~b2-": {"size": "35 mm2"}})
    assert differs(case, made) == ["-   - b1 = b2", "+   - b1 = b2 : 35 mm2"]
    made = after(case, {"b1~b2": {"length": "0.4 m"}})
    assert differs(case, made) == ["-   - b1 = b2", "+   - b1 = b2 : unknown, 0.4 m"]


@st.composite
def wiring(draw: st.DrawFn) -> str:
    """Lines in every form, no two with the same ends."""
    length = st.sampled_from(["0.3 m", "about 2 m", "1..2 m"])
    size = st.sampled_from(["16 mm2", "35 mm2 (label)", "unknown"])
    chains = ["b1+ = fuse = bars+", "b1- = shunt = bars-", "b1 = b2", "b2 = b3 = b4", "bars = inverter"]
    lines = []
    for chain in chains:
        lengths = [draw(length) for _ in range(chain.count("="))]
        form = draw(st.sampled_from(["bare", "colon", "size", "names"]))
        lines.append(
            {
                "bare": chain,
                "colon": f"{chain} : {', '.join([draw(size), *lengths])}",
                "size": f"{chain} : {draw(size)}",
                "names": f"{{run: {chain}, size: {draw(size)}, lug: crimped}}",
            }[form]
        )
    return "".join(f"  - {line}\n" for line in draw(st.permutations(lines)))


@given(lines=wiring(), data=st.data())
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_is_changed_or_removed_all_other_runs_mean_the_same(
    wired: MakeCase, lines: str, data: st.DataObject
) -> None:
    case = wired(lines)
    ids = sorted(case.hops)
    removed = tuple(data.draw(st.lists(st.sampled_from(ids), max_size=2, unique=True)))
    sized = data.draw(st.lists(st.sampled_from(ids), max_size=3, unique=True))
    made = after(case, {id: {"size": "95 mm2"} for id in sized if id not in removed}, removed)
    expected = dict(meaning(case))
    for id in sized:
        hop = case.hops[id]
        expected[hop.a, hop.b] = (Span(95.0, 95.0), domain_of(hop.length))
    for id in removed:
        del expected[case.hops[id].a, case.hops[id].b]
    assert meaning(made) == expected
