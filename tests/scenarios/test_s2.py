"""Twin batteries wired from one end, twice: once a matter of workmanship, once past what a battery may give.

The situations, all invented. (a) Two batteries of 4 mohm, links of 50 mm2 and 0.25 m, joints of 0.1 mohm,
both leads on one battery. (b) Two of 1 mohm that may give 100 A each, links of 16 mm2 and 0.6 m, joints of
0.3 mohm, 180 A drawn. What a joint loses cannot be stated in a case; the range of the table holds both
figures.
"""

from functools import cache

import pytest

from ringout.case.load import load_text
from ringout.inference.chain import Said, Verdict
from ringout.quantity.span import Span
from ringout.quantity.traced import domain_of
from ringout.report.text import text
from ringout.review.finding import Finding, findings
from ringout.review.review import Review, review

ONE_END = "both-leads-on-one-battery"
PATHS = "unequal-battery-paths"
OVER = "near-battery-over-its-limit"

TWINS = """\
case: two batteries in the counting hut
invented: yes
kind: cabin
dc_volts: 12 V
looked_for: {{fuse: all, breaker: none seen, isolator: all}}
parts:
  b1: {{kind: battery, chemistry: LFP (label), nominal: 12 V (label), capacity: 100 Ah (label), {more}}}
  b2: {{kind: battery, chemistry: LFP (label), nominal: 12 V (label), capacity: 100 Ah (label)}}
  fuse: {{kind: fuse, family: class_T, rating: 250 A (label)}}
  inverter: {{kind: inverter, rating: {watts} W (label), efficiency: 90 % (manual)}}
alike:
  - b1 b2
dc:
  - b1+ = b2+ : {link}
  - b1- = b2- : {link}
  - b1+ = fuse = inverter+ : 95 mm2 (label), 0.15 m, 0.3 m
  - b1- = inverter- : 95 mm2 (label), 0.45 m
"""
UNCERTAIN = ("internal: 4 mohm (manual), ", "internal: 3..6 mohm (manual), ", "internal: unknown, ", "")
"""The internal resistance of (a): as the situation has it, as a range, asked in vain, not mentioned."""


@cache
def mild(internal: str = UNCERTAIN[0]) -> Review:
    told = TWINS.format(
        more=internal + "max_discharge: 200 A (manual)", watts=1500, link="50 mm2 (label), 0.25 m"
    )
    return review(load_text(told, "a.yaml"), "plain")


@cache
def grave() -> Review:
    # 2090 W / (0.9 · 12.6 to 13.2 V): about 180 A
    more = "internal: 1 mohm (manual), max_discharge: 100 A (manual)"
    told = TWINS.format(more=more, watts=2090, link="16 mm2 (label), 0.6 m")
    return review(load_text(told, "b.yaml"), "plain")


def about(made: Review, rule: str, *keys: str) -> Said:
    found = [each for each in made.chained.said if each.rule.name == rule]
    [its] = [each for each in found if tuple(each.anchor.keys.values())[-len(keys) :] == keys]
    return its


def finding(made: Review, rule: str, *keys: str) -> Finding:
    queue = findings(made.case, made.chained)
    while queue:
        each = queue.pop(0)
        queue += each.beneath
        if (each.rule.name, tuple(each.said.anchor.keys.values())[-len(keys) :]) == (rule, keys):
            return each
    raise AssertionError(f"no finding {rule} {keys}")


def of_the_wiring(made: Review) -> list[Finding]:
    return [each for each in made.found if each.rule.area == "cable_uniformity"]


def near(made: Review, name: str) -> Span:
    domain = domain_of(about(made, PATHS, "b1").anchor.values[name])
    assert isinstance(domain, Span)
    return domain


def by_hand(internal: float, mm2: float, metres: float, joint: float) -> float:
    """The near battery's share: two links in the far one's way, each with two joints (all in mohm)."""
    # IEC 60028 (standard, 1925): annealed copper at 20 C, 17.241 mohm.mm2/m
    link = 17.241 * metres / mm2 + 2 * joint
    return (internal + 2 * link) / (2 * internal + 2 * link)


# Must


def test_the_near_share_of_a_is_about_53_percent() -> None:
    assert by_hand(4, 50, 0.25, 0.1) == pytest.approx(0.53, abs=0.005)
    ratio = near(mild(), "ratio")
    assert ratio.lo <= 2 * 0.53 <= ratio.hi
    assert ratio.hi < 2 * 0.60


def test_the_near_share_of_b_is_about_78_percent_and_141_a() -> None:
    assert by_hand(1, 16, 0.6, 0.3) == pytest.approx(0.78, abs=0.005)
    ratio, current = near(grave(), "ratio"), near(grave(), "current")
    assert ratio.lo <= 2 * 0.78 <= ratio.hi
    assert current.lo <= 141 <= current.hi
    assert near(grave(), "limit") == Span(100.0, 100.0)


def test_180_a_are_drawn_in_b() -> None:
    draw = about(grave(), "inverter-can-ask-more-than-the-bank-may-give", "b1").anchor
    current = domain_of(draw.values["current"])
    assert isinstance(current, Span) and current.lo <= 180 <= current.hi


@pytest.mark.parametrize("internal", UNCERTAIN)
def test_a_is_found_from_geometry_whatever_the_batteries_are(internal: str) -> None:
    assert about(mild(internal), ONE_END, "inverter").verdict is Verdict.WRONG


def test_b_is_found_from_geometry() -> None:
    assert about(grave(), ONE_END, "inverter").verdict is Verdict.WRONG
    assert about(grave(), PATHS, "b1").verdict is Verdict.WRONG
    assert about(grave(), PATHS, "b2").verdict is Verdict.RIGHT


def test_a_is_workmanship() -> None:
    its = finding(mild(), ONE_END, "inverter")
    assert (its.grade.cls, its.level) == (3, "low")
    assert about(mild(), OVER, "b1").verdict is not Verdict.WRONG
    assert [each.cls for each in of_the_wiring(mild())] == [3]


def test_b_puts_the_near_battery_over_its_limit() -> None:
    its = about(grave(), OVER, "b1")
    assert its.verdict is Verdict.WRONG
    assert about(grave(), OVER, "b2").verdict is not Verdict.WRONG
    # Together the two could give what is asked: it is the wiring that overloads one.
    assert about(grave(), "inverter-can-ask-more-than-the-bank-may-give", "b1").verdict is Verdict.RIGHT


def test_b_says_what_the_thin_link_carries_when_the_near_battery_opens() -> None:
    page = " ".join(text(grave()).split())
    assert "switches itself off under load; then all of the current goes through links never meant" in page


# Must not


def test_the_two_are_not_of_the_same_grade() -> None:
    first = finding(mild(), ONE_END, "inverter").grade
    second = finding(grave(), OVER, "b1").grade
    assert second.cls < first.cls and second.severity < first.severity
    worst = [min(each.cls for each in of_the_wiring(made)) for made in (mild(), grave())]
    assert worst == [3, 2]


@pytest.mark.parametrize("internal", UNCERTAIN[1:])
def test_uncertain_internal_resistance_opens_nothing_in_a(internal: str) -> None:
    def open_of(made: Review) -> set[str]:
        return {
            f"{each.rule.name} {each.anchor.id}"
            for each in made.chained.said
            if each.verdict is Verdict.NOT_KNOWN and each.rule.area == "cable_uniformity"
        }

    assert open_of(mild(internal)) == open_of(mild())
