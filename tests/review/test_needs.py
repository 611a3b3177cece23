"""What to find out next: every open verdict stands under one question, the most telling questions first."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence

import pytest

from ringout.case.load import load_text
from ringout.inference.chain import Step
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice
from ringout.review.finding import DANGER, Finding
from ringout.review.needs import WEIGHT, influence, influences, need_of
from ringout.review.review import Review, review
from ringout.rulebase.rule import Rule
from ringout.shipped import cases_root

MakeRule = Callable[..., Rule]
Judge = Callable[..., Review]

CASES = sorted(path.stem for path in cases_root().glob("*.yaml"))


def open_ones(made: Review) -> Iterator[Finding]:
    def walk(finding: Finding) -> Iterator[Finding]:
        yield finding
        for each in finding.beneath:
            yield from walk(each)

    return (each for top in (*made.found, *made.open) for each in walk(top) if each.open)


def paths(made: Review) -> list[str]:
    return [need.path for need in made.needs]


@pytest.mark.parametrize("name", CASES)
def test_every_open_verdict_with_words_stands_under_exactly_one_need(
    reviewed: Callable[[str], Review], name: str
) -> None:
    made = reviewed(name)
    said = Counter(
        (each.rule.name, each.anchor.id)
        for each in made.chained.said
        if each.verdict.value == "not known" and each.rule.finding is not None
    )
    under = Counter((each.rule.name, each.said.anchor.id) for need in made.needs for each in need.opens)
    assert under == said
    assert set(under.values()) <= {1}
    assert Counter((each.rule.name, each.said.anchor.id) for each in open_ones(made)) == said


@pytest.mark.parametrize("name", CASES)
def test_dangers_come_first_in_every_sample(reviewed: Callable[[str], Review], name: str) -> None:
    order = [(need.cls > DANGER, need.cls if need.cls <= DANGER else 9) for need in reviewed(name).needs]
    assert order == sorted(order)


@pytest.mark.parametrize("name", CASES)
def test_every_need_says_in_words_what_to_find_out(reviewed: Callable[[str], Review], name: str) -> None:
    for need in reviewed(name).needs:
        assert need.ask.rstrip(".?") and need.settles and need.minutes > 0


def open_on(name: str, key: str, word: str) -> dict[str, object]:
    return {"when": {"eq": [f"b.{key}", word]}, "finding": {"settle": f"Look at {name}."}}


def test_the_gravest_comes_first(rule: MakeRule, judge: Judge) -> None:
    rules = [
        rule("lesser", 4, **open_on("lesser", "vent", "none")),
        rule("danger", 2, **open_on("danger", "restraint", "none")),
        rule("worst", 1, **open_on("worst", "post_covers", "none")),
    ]
    made = judge("b1: {kind: battery}", rules)
    assert paths(made) == ["b1.post_covers", "b1.restraint", "b1.vent"]
    assert [need.cls for need in made.needs] == [1, 2, 4]


def test_what_bears_on_a_complaint_comes_after_the_dangers_and_before_the_rest(
    rule: MakeRule, judge: Judge
) -> None:
    rules = [
        rule("a-breaks", 3, when={"eq": ["b.vent", "none"]}),
        rule("b-explains", 4, when={"eq": ["b.box", "none"]}, finding={"explains": ["sparks"]}),
        rule("c-danger", 2, when={"eq": ["b.restraint", "none"]}),
    ]
    made = judge("b1: {kind: battery}", rules, "complaints: {c: {says: sparks, symptom: sparks}}\n")
    assert paths(made) == ["b1.restraint", "b1.box", "b1.vent"]
    assert [need.explains for need in made.needs] == [False, True, False]


def test_one_answer_that_settles_more_is_worth_more(rule: MakeRule, judge: Judge) -> None:
    rules = [
        rule("one", when={"eq": ["b.box", "none"]}),
        rule("two", when={"eq": ["b.vent", "none"]}),
        rule("three", when={"eq": ["b.vent", "tube"]}),
    ]
    first, second = judge("b1: {kind: battery}", rules).needs
    assert (first.path, first.settles) == ("b1.vent", ("title of three", "title of two"))
    assert (second.path, second.settles) == ("b1.box", ("title of one",))
    assert first.weight > second.weight


def test_what_somebody_could_not_say_is_not_asked_again_first(rule: MakeRule, judge: Judge) -> None:
    when = {"all": [{"eq": ["b.post_covers", "none"]}, {"eq": ["b.vent", "none"]}]}
    rules = [rule("one", when=when)]
    assert paths(judge("b1: {kind: battery}", rules)) == ["b1.post_covers"]
    assert paths(judge("b1: {kind: battery, post_covers: unknown (said)}", rules)) == ["b1.vent"]
    # Where nobody knows either, one of them is still what would settle it.
    both = "b1: {kind: battery, post_covers: unknown (said), vent: unknown (said)}"
    assert paths(judge(both, rules)) == ["b1.post_covers"]


def test_what_follows_from_an_open_cause_waits_for_the_same_answer(rule: MakeRule, judge: Judge) -> None:
    concludes = {"fact": "uneven", "keys": {"bank": "b.part"}}
    partner = {"u": {"fact": "uneven", "where": {"bank": "b.part"}}}
    rules = [
        rule("cause", concludes=concludes),
        rule("consequence", with_=partner, when={"eq": ["b.restraint", "none"]}),
    ]
    [need] = judge("b1: {kind: battery}", rules).needs
    assert (need.path, need.settles) == ("b1.post_covers", ("title of cause", "title of consequence"))


@pytest.mark.parametrize("rounded", ["b1.box", "b1.restraint"])
def test_what_differs_by_rounding_alone_goes_by_name(
    rounded: str, rule: MakeRule, judge: Judge, monkeypatch: pytest.MonkeyPatch
) -> None:
    def shares(_: Step, leaves: Sequence[Leaf]) -> dict[str, float]:
        return {leaf.path: 0.1 + 0.2 if leaf.path == rounded else 0.3 for leaf in leaves}

    assert 0.1 + 0.2 > 0.3, "by rounding"
    monkeypatch.setattr("ringout.review.needs.influences", shares)
    box, restraint = {"eq": ["b.box", "none"]}, {"eq": ["b.restraint", "none"]}
    assert paths(judge("b1: {kind: battery}", [rule("one", when={"all": [box, restraint]})])) == ["b1.restraint"]
    apart = [rule("one", when=box), rule("two", when=restraint)]
    assert paths(judge("b1: {kind: battery}", apart)) == ["b1.box", "b1.restraint"]


def test_what_only_a_licensed_person_may_find_out_comes_later(rule: MakeRule, judge: Judge) -> None:
    """Either answer tells as much and takes five minutes, but one lies behind a cover."""
    when = {"any": [{"eq": ["c.shared_box", "yes"]}, {"eq": ["c.break_before_make", "no"]}]}
    finding = {key: "words" for key in ("seen", "means", "do", "confirm", "prove", "wrong_when")}
    one = rule("one", looks_at={"c": "changeover"}, when=when, finding=finding)
    [need] = judge("co: {kind: changeover}", [one]).needs
    assert (need.path, need.access) == ("co.break_before_make", "bare_hand")


def test_the_thing_itself_is_asked_for_before_how_well_somebody_looked() -> None:
    """A bare lead is drawn: was a fuse seen, or has somebody looked for all fuses and left this one out?"""
    case = load_text(
        """
case: made for a test
parts:
  house: {kind: battery, chemistry: LFP}
  inverter: {kind: inverter}
dc:
  - house = inverter : 35 mm2, 1 m
""",
        "made.yaml",
    )
    made = review(case, "plain")
    [need] = [each for each in made.needs if "main-fuse-missing" in {one.rule.name for one in each.opens}]
    step = need.opens[0].said.step
    assert step is not None
    assert {"house.main_fuse", "looked_for.fuse"} <= {leaf.path for leaf in step.needs}
    assert need.path == "house.main_fuse"


def test_a_licensed_reading_is_marked_as_such() -> None:
    case = load_text("case: made for a test\nparts: {chg: {kind: mains_charger}}\n", "made.yaml")
    need = need_of(case, case.parts["chg"].leaf("case_earth"))
    assert need is not None and need.access == "licensed"


def test_where_nobody_can_answer_the_rules_own_reading_is_asked_for(rule: MakeRule, judge: Judge) -> None:
    """All is stated of the battery; how much of it is of use only a table says, and that is a range."""
    words = {key: "words" for key in ("seen", "means", "do", "prove", "wrong_when")}
    finding = words | {"settle": "Discharge {k.part} to the end.", "confirm": "Test {k.part}."}
    when = {"lt": ["k.usable", "55 Ah"]}
    battery = "b1: {kind: battery, chemistry: AGM, capacity: 100 Ah}"
    [need] = judge(battery, [rule("one", looks_at={"k": "bank"}, when=when, finding=finding)]).needs
    assert (need.leaf, need.ask) == (None, "Discharge battery b1 to the end.")
    no_settle = rule("one", looks_at={"k": "bank"}, when=when, finding=finding | {"settle": ""})
    [need] = judge(battery, [no_settle]).needs
    assert need.ask == "Test battery b1."


PLAIN = load_text(
    """
case: made for a test
parts:
  b1: {kind: battery, place: shed}
  b2: {kind: battery}
  inverter: {kind: inverter}
  chg: {kind: mains_charger}
places:
  shed: {sort: locker}
""",
    "made.yaml",
)


@pytest.mark.parametrize(
    ("path", "ask"),
    [
        ("looked_for.dc_charger", "Have you looked for every dc charger there is?"),
        ("chg.battery", "Which battery does mains charger chg hang on?"),
        ("chg.which_inverter", "Which inverter does mains charger chg hang on?"),
        ("chg.there", "Is there really a mains charger chg?"),
        ("b1.post_covers", "battery b1: are both battery posts covered?"),
    ],
)
def test_a_question_names_the_part_it_is_about(path: str, ask: str) -> None:
    need = need_of(PLAIN, Leaf(path, Choice(frozenset({"yes", "no"}))))
    assert need is not None
    assert need.ask == ask


def test_what_feeds_a_part_is_asked_with_the_parts_that_could() -> None:
    leaf = Leaf("chg.fed_from", Choice(frozenset({"inverter.ac_out", "inlet.ac_out"})))
    need = need_of(PLAIN, leaf)
    assert need is not None
    assert need.ask == "What feeds mains charger chg: inlet or inverter?"


@pytest.mark.parametrize(
    "name", ["habits.night_hours", "mains.earth", "shed.gas", "surroundings.lowest", "installation.dc_volts"]
)
def test_sheets_and_places_have_questions_too(name: str) -> None:
    need = need_of(PLAIN, Leaf(name, Choice(frozenset({"yes"}))))
    assert need is not None
    assert need.ask.endswith("?") or need.ask.endswith("etc.)?")


def test_a_verdict_that_hangs_on_the_region_asks_for_it() -> None:
    """Between the limits of two regions: within 200 mm of New Zealand, beyond the 178 mm of the United States."""
    text = """\
case: made for a test
{}parts:
  house: {{kind: battery, nominal: 12 V, duty: house}}
  main: {{kind: fuse, rating: 100 A}}
  inv: {{kind: inverter}}
dc:
  - house+ = main : 35 mm2, 190 mm
  - main = inv+ : 35 mm2, 1 m
  - house- = inv- : 35 mm2, 1 m
looked_for: {{fuse: all, breaker: none seen}}
"""
    asked = [need for need in review(load_text(text.format(""), "made.yaml"), "plain").needs if "region" in need.path]
    assert [need.path for need in asked] == ["installation.region"]
    assert asked[0].ask.startswith("In which country is it used")
    assert {"NZ", "US", "other"} <= set(asked[0].words)
    assert any("fuse" in title for title in asked[0].settles)
    said = review(load_text(text.format("region: NZ\n"), "made.yaml"), "plain").needs
    assert not [need for need in said if "region" in need.path]


@pytest.mark.parametrize("path", ["tables.joint", "limits.notable_drain", "rule.3.7", "b1.no_such_field"])
def test_nobody_is_asked_for_what_a_table_says(path: str) -> None:
    assert need_of(PLAIN, Leaf(path, Choice(frozenset({"yes"})))) is None


def test_influence_is_nought_for_what_does_not_matter_and_one_for_the_word_itself(
    rule: MakeRule, judge: Judge
) -> None:
    when = {"any": [{"eq": ["b.vent", "none"]}, {"lt": ["b.capacity", "100 Ah"]}]}
    made = judge("b1: {kind: battery, capacity: 90..110 Ah}", [rule("one", when=when)])
    [finding] = made.open
    step = finding.said.step
    assert step is not None
    found = {leaf.path: influence(step, leaf) for leaf in step.needs}
    assert found == {"b1.vent": 1.0, "b1.capacity": 1.0}
    assert influence(step, made.case.parts["b1"].leaf("box")) == 0.0


@pytest.mark.parametrize("name", CASES)
def test_what_hangs_on_each_leaf_is_the_same_whether_asked_alone_or_with_the_others(
    reviewed: Callable[[str], Review], name: str
) -> None:
    for finding in open_ones(reviewed(name)):
        needs = finding.step.needs
        assert influences(finding.step, needs) == {leaf.path: influence(finding.step, leaf) for leaf in needs}


def test_of_several_tests_that_hang_on_a_leaf_the_one_that_hangs_most_counts(rule: MakeRule, judge: Judge) -> None:
    """How much of the capacity is of use only a table says, and that is a range; the capacity itself is the leaf."""
    words = {key: "words" for key in ("seen", "means", "do", "confirm", "prove", "wrong_when")}
    capacity, usable = {"lt": ["k.capacity", "100 Ah"]}, {"lt": ["k.usable", "55 Ah"]}

    def share(*tests: object) -> float:
        one = rule("one", looks_at={"k": "bank"}, when={"any": tests}, finding=words)
        [finding] = judge("b1: {kind: battery, chemistry: AGM, capacity: 90..120 Ah}", [one]).open
        return influence(finding.step, finding.step.needs[0])

    assert share(usable) < share(capacity) == 1.0
    assert share(usable, capacity) == share(capacity, usable) == 1.0


def test_what_a_conclusion_below_waits_for_counts_unless_a_test_hangs_on_it_more(
    rule: MakeRule, judge: Judge
) -> None:
    concludes = {"fact": "uneven", "keys": {"bank": "b.part"}}
    with_ = {"u": {"fact": "uneven", "where": {"bank": "b.part"}}}
    either = {"any": [{"eq": ["b.restraint", "none"]}, {"eq": ["b.post_covers", "none"]}]}
    rules = [
        rule("cause", concludes=concludes),
        rule("through-it", with_=with_, when={"eq": ["b.restraint", "none"]}),
        rule("by-itself-too", with_=with_, when=either),
    ]
    [need] = judge("b1: {kind: battery}", rules).needs
    found = {each.rule.name: influences(each.step, each.step.needs) for each in need.opens}
    assert found["through-it"] == {"b1.post_covers": 0.8, "b1.restraint": 1.0}
    assert found["by-itself-too"] == {"b1.post_covers": 1.0, "b1.restraint": 1.0}


def test_one_danger_outweighs_any_two_of_the_next_class() -> None:
    weights = [WEIGHT[cls] for cls in sorted(WEIGHT)]
    assert weights == sorted(weights, reverse=True)
    assert WEIGHT[1] > 2 * WEIGHT[2] and WEIGHT[2] > 2 * WEIGHT[3]


WINCH = """\
case: the godwit van
dc_volts: 12 V
parts:
  b1: {kind: battery, chemistry: AGM (label), nominal: 12 V (label), capacity: 200 Ah (label)}
  main: {kind: fuse, rating: 60 A (label), family: bolted_strip}
  winch: {kind: dc_load, sort: winch, current: 20 A (label)}
  out: {kind: outlet, polarity: right (measured)}
dc:
  - b1+ = main = winch+ : 4 mm2, 0.1 m, 3 m
  - b1- = winch- : 4 mm2, 3 m
readings:
  pull: {what: current, value: 90 A, of: winch, loads: winch}
  tester: {what: polarity, value: reversed, of: out, steady: no}
"""


def test_a_reading_in_doubt_asks_for_its_repeat_once() -> None:
    """It bears on the lead and on each cable of the winch, and in words on how to read it again."""
    needs = review(load_text(WINCH, "van.yaml"), "plain").needs
    [pull] = [each for each in needs if each.path == "readings.pull"]
    assert pull.repeat
    assert pull.ask == (
        "winch: 90 A was read and is in doubt; clamp it again: clamp zeroed, round one conductor, same state, "
        "same minute; what meets at one place must add up."
    )
    assert "Voltage lost on the way to winch: not known" in pull.settles
    # That its cables may carry less hangs on their insulation too, but the reading is what raised it.
    assert "run-carries-more-than-it-may" in {each.rule.name for each in pull.opens}
    assert not any("as_read" in each.path for each in needs)


def test_a_danger_that_was_read_once_is_the_first_thing_to_find_out_of_its_class() -> None:
    needs = review(load_text(WINCH, "van.yaml"), "plain").needs
    [first, *_] = [each for each in needs if each.cls == 2]
    assert (first.path, first.access, first.settles) == ("readings.tester", "licensed", ("Polarity at out: not known",))
    # One that jumped on the good side is no danger that was read: it takes its place by its risk.
    calm = WINCH.replace("polarity: right (measured)", "earth: proven").replace("value: reversed", "value: right")
    needs = review(load_text(calm, "van.yaml"), "plain").needs
    assert next(each for each in needs if each.cls == 2).path != "readings.tester"
    assert "readings.tester" in [each.path for each in needs]
