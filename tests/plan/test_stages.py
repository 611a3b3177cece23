"""The stages of one case."""

import pytest

from ringout.case.case import Case
from ringout.case.load import load_text
from ringout.facts.as_read import as_read
from ringout.plan.stages import as_left
from ringout.plan.written import Unfit
from ringout.quantity.span import Span
from ringout.text.problem import Unusable

CHANGED = """\
changed:
  - {at: "10:40", set: {charger.absorption: 14.0 V, bars.cover: yes}}
  - {at: "11:20", set: {charger.absorption: {is: 14.4 V, from: display}}}
"""


def test_as_left_holds_the_last_value_set_and_as_found_stays(hide: Case) -> None:
    case = load_text(hide.document.text + CHANGED, "hide.yaml")
    left = as_left(case)
    assert left.parts["charger"].leaf("absorption").text == "14.4 V"
    assert left.parts["bars"].word("cover") == "yes"
    assert left.title.endswith("(as left)")
    assert case.parts["charger"].leaf("absorption").text == "15.2 V (measured)"


def test_what_was_set_after_a_reading_is_not_outranked_by_it(hide: Case) -> None:
    read = """\
readings:
  tester: {what: polarity, value: reversed, of: bench_outlet, at: "10:05"}
  test: {what: capacity, value: 60 Ah, of: b1, at: "10:10"}
  again: {what: capacity, value: 61 Ah, repeats: test, at: "10:20"}
changed:
  - {at: "10:40", set: {bench_outlet.polarity: right (measured), b1.capacity: 100 Ah (label)}}
"""
    case = load_text(hide.document.text + read, "hide.yaml")
    found, left = as_read(case), as_read(as_left(case))
    assert found.parts["bench_outlet"].word("polarity") == "reversed"
    assert found.parts["b1"].leaf("capacity").domain == Span(60.0, 61.0)
    assert left.parts["bench_outlet"].word("polarity") == "right"
    assert left.parts["b1"].leaf("capacity").domain == Span(100.0, 100.0)


ROUND = """\
changed:
  - at: "10:40"
    what: a main fuse fitted, the charger's lead cut out
    remove: [b1~bars, b1~charger, b1-~charger-]
    add:
      parts: {fmain: {kind: fuse, rating: 125 A (label)}}
      dc:
        - b1+ = fmain = bars+ : 35 mm2 (label), 0.2 m, 0.4 m
        - {run: bars = charger, size: 10 mm2 (label), length: 1 m}
    set: {fmain.marked: yes}
  - at: "11:20"
    move: {bench_outlet: rcd}
    add:
      parts: {rcd: {kind: rcd, trip: 30 mA (label)}}
      ac: [board > rcd]
"""


def test_a_round_of_work_adds_removes_and_moves(hide: Case) -> None:
    left = as_left(load_text(hide.document.text + ROUND, "hide.yaml"))
    assert {"b1+~fmain", "fmain~bars+", "bars~charger"} <= left.hops.keys()
    assert not {"b1~bars", "b1~charger"} & left.hops.keys()
    assert left.parts["fmain"].word("marked") == "yes"
    assert ("rcd", "bench_outlet") in {
        (source.split(".")[0], feed.to.split(".")[0]) for feed in left.feeds for source in feed.sources
    }


@pytest.mark.parametrize(
    ("entry", "found"),
    [
        ("remove: [pump]", "there is no part pump"),
        ("move: {lamp: board}", "nothing is written that feeds lamp"),
        ("add: {parts: {bars: {kind: busbars}}}", "there is a part bars already"),
        ("add: {parts: {f2: {rating: 5 A}}}", "at parts.f2"),
        ("add: {dc: [b1+ = f9]}", "at dc.6"),
        ("set: {b1~bars.torque: tight}", "torque"),
    ],
)
def test_an_entry_that_does_not_fit_is_named_with_its_line(hide: Case, entry: str, found: str) -> None:
    lines = hide.document.text.count("\n")
    case = load_text(hide.document.text + f'changed:\n  - {{at: "9:00", {entry}}}\n', "hide.yaml")
    with pytest.raises(Unusable) as fault:
        as_left(case)
    said = str(fault.value)
    assert said.startswith(f"hide.yaml:{lines + 2}:5: changed.1: expected a change that fits")
    assert found in said


def test_a_case_in_which_nothing_was_changed_has_one_stage(hide: Case) -> None:
    with pytest.raises(Unfit, match="nothing is set, moved, added or removed under 'changed'"):
        as_left(hide)
