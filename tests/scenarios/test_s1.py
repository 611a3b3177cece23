"""A charge loop, but not all of it: what was read at one instant, what it explains, and what it does not.

The situation, all invented (the sample case `teal`): a 24 V boat away from shore. A clamp shows 31 A at
25.4 V into the inverter; the mains charger on its circuit gives 18 A at 27.0 V back. 120 Ah may be used.
"""

import re
from collections.abc import Callable

import pytest

from ringout.case.load import load_text
from ringout.facts.fact import Fact
from ringout.inference.chain import Said, Verdict
from ringout.quantity.span import Span
from ringout.quantity.traced import domain_of
from ringout.report.text import text
from ringout.review.review import Review, review

Reviewed = Callable[[str], Review]

LOOP = "charger-fed-by-its-own-battery"
READ = "loop-as-read"
BESIDE = "something-else-draws-beside-the-loop"


@pytest.fixture
def made(reviewed: Reviewed) -> Review:
    return reviewed("teal")


@pytest.fixture
def page(made: Review) -> str:
    return " ".join(text(made).split())


def said(made: Review, rule: str) -> Said:
    [its] = [each for each in made.chained.said if each.rule.name == rule]
    return its


def read(made: Review) -> Fact:
    return said(made, READ).anchor


def span(fact: Fact, name: str) -> Span:
    domain = domain_of(fact.values[name])
    assert isinstance(domain, Span)
    return domain


def changed(made: Review, old: str, new: str) -> Review:
    told = made.case.document.text
    assert old in told
    return review(load_text(told.replace(old, new), "told.yaml"), "plain")


def test_the_case_states_the_situation(made: Review) -> None:
    taken = {each.name: each.reading for each in made.case.readings}
    assert {name: each.value for name, each in taken.items()} == {
        "out": "31 A", "out_volts": "25.4 V", "back": "18 A", "back_volts": "27.0 V",
    }  # fmt: skip
    assert {each.set for each in taken.values()} == {"loop"}
    assert made.case.dc_volts.domain == Span(24.0, 24.0)
    [bank] = [each.anchor for each in made.chained.said if each.rule.name == "loop-leaves-it-flat-by-morning"]
    assert span(bank, "usable") == Span(120.0, 120.0)


# Must


def test_the_loop_is_named(made: Review, page: str) -> None:
    assert said(made, LOOP).verdict is Verdict.WRONG
    assert "The charger runs from the battery it charges" in page


def test_the_net_drain_is_13_a_and_the_usable_charge_gone_in_about_9_h(made: Review, page: str) -> None:
    assert said(made, READ).verdict is Verdict.WRONG
    assert span(read(made), "net") == Span(13.0, 13.0)
    # 120 Ah / 13 A, plain arithmetic
    hours = span(read(made), "hours")
    assert hours.lo / 3600 == pytest.approx(9.23, abs=0.01) and hours.exact
    assert "a net drain of 13 A, with which the usable charge is gone in about 9.23 h" in page


def test_conversion_and_idle_explain_23_to_28_of_the_31_a(made: Review) -> None:
    explained = span(read(made), "explained")
    assert (round(explained.lo), round(explained.hi)) == (23, 28)
    # 18 A · 27.0 V are 486 W. By hand, from the sheets of charger and inverter at their best and their worst:
    # 486/(25.4 · 0.92 · 0.93) + 20/25.4 and 486/(25.4 · 0.84 · 0.86) + 40/25.4
    assert explained.lo == pytest.approx(23.15, abs=0.01)
    assert explained.hi == pytest.approx(28.06, abs=0.01)


def test_3_to_8_a_or_75_to_200_w_go_elsewhere(made: Review) -> None:
    elsewhere, power = span(read(made), "elsewhere"), span(read(made), "elsewhere_power")
    assert (round(elsewhere.lo), round(elsewhere.hi)) == (3, 8)
    assert power.lo == pytest.approx(75, abs=2)
    assert power.hi == pytest.approx(200, abs=2)


def test_what_else_is_on_is_asked(made: Review, page: str) -> None:
    its = said(made, BESIDE)
    assert its.verdict is Verdict.WRONG
    assert its.rule.finding is not None and "Ask what else is on" in its.rule.finding.do
    assert "go elsewhere: find out what else is on" in page


# Must not


def test_what_goes_elsewhere_is_never_one_exact_figure(page: str) -> None:
    [line] = re.findall(r"charging and idling explain (.+? go elsewhere)", page)
    assert re.fullmatch(r"[\d.]+ to [\d.]+ A; [\d.]+ to [\d.]+ A, or [\d.]+ to [\d.]+ W, go elsewhere", line)


def test_the_charger_is_not_called_faulty(made: Review, page: str) -> None:
    about = {
        each.rule.name
        for each in made.chained.said
        if each.verdict is Verdict.WRONG and each.rule.area in ("charge_profile", "protection")
    }
    assert about == set()
    assert not re.search(r"charger is (faulty|broken|defective)|replace (the )?charger", page, re.IGNORECASE)
    assert "works as it should" not in page, "nobody tested the charger, so it is not cleared either"


# What settles it, and what would not


def test_readings_of_two_instants_are_never_subtracted(made: Review) -> None:
    back = 'value: 18 A, of: charger, state: "away, inverter on", at: "21:40", set: loop'
    apart = changed(made, back, back.replace("21:40", "21:55").replace("loop", "later"))
    assert [each for each in apart.chained.said if each.rule.name in (READ, BESIDE)] == []


def test_without_the_sheets_what_goes_elsewhere_is_not_known(made: Review) -> None:
    bare = changed(made, "efficiency: 84..92 % (manual), ", "")
    assert said(bare, READ).verdict is Verdict.WRONG
    assert said(bare, BESIDE).verdict is Verdict.NOT_KNOWN


def test_a_reading_that_jumped_settles_nothing(made: Review) -> None:
    jumped = changed(made, "steady: yes", "steady: no")
    assert said(jumped, READ).verdict is Verdict.NOT_KNOWN
    assert said(jumped, BESIDE).verdict is Verdict.NOT_KNOWN


def test_where_the_loop_explains_it_all_nothing_else_is_looked_for(made: Review) -> None:
    less = changed(made, "value: 31 A", "value: 23 A")
    assert said(less, READ).verdict is Verdict.WRONG
    assert said(less, BESIDE).verdict is Verdict.RIGHT
