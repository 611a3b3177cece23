"""Each complaint lists every cause that could make it, and where each of them stands."""

from collections.abc import Callable

from ringout.inference.chain import Verdict
from ringout.review.complaints import STANDING
from ringout.review.review import Review
from ringout.rulebase.rule import Rule

MakeRule = Callable[..., Rule]
Judge = Callable[..., Review]

SPARKS = "complaints: {c: {says: it sparks, symptom: sparks}}\n"


def test_a_cause_is_supported_open_or_ruled_out_by_its_verdict(rule: MakeRule, judge: Judge) -> None:
    rules = [
        rule("a-right", when={"eq": ["b.restraint", "none"]}, finding={"explains": ["sparks"]}),
        rule("b-open", when={"eq": ["b.vent", "none"]}, finding={"explains": ["sparks", "smell"]}),
        rule("c-wrong", finding={"explains": ["smell", "sparks"]}),
    ]
    battery = "b1: {kind: battery, post_covers: none, restraint: strapped}"
    [complaint] = judge(battery, rules, SPARKS).complaints
    assert (complaint.name, complaint.says, complaint.symptom) == ("c", "it sparks", "sparks")
    standings = [(cause.said.rule.name, cause.standing) for cause in complaint.causes]
    assert standings == [("c-wrong", "supported"), ("b-open", "open"), ("a-right", "ruled out")]
    assert {cause.about for cause in complaint.causes} == {"battery b1"}
    assert complaint.causes[0].title == "title of c-wrong"


def test_what_cannot_make_it_or_does_not_apply_is_no_cause(rule: MakeRule, judge: Judge) -> None:
    rules = [
        rule("other", finding={"explains": ["smell"]}),
        rule("elsewhere", given={"eq": ["b.restraint", "none"]}, finding={"explains": ["sparks"]}),
        rule("silent", concludes={"fact": "uneven", "keys": {"bank": "b.part"}}, finding_=None),
    ]
    battery = "b1: {kind: battery, post_covers: none, restraint: strapped}"
    [complaint] = judge(battery, rules, SPARKS).complaints
    assert complaint.causes == ()


def test_every_complaint_is_answered_in_the_order_written(rule: MakeRule, judge: Judge) -> None:
    two = "complaints: {z: {says: it sparks, symptom: sparks}, a: {says: it smells, symptom: smell}}\n"
    made = judge("b1: {kind: battery}", [rule("one", finding={"explains": ["smell"]})], two)
    assert [(each.name, len(each.causes)) for each in made.complaints] == [("z", 0), ("a", 1)]


def test_one_rule_about_two_parts_is_two_causes(rule: MakeRule, judge: Judge) -> None:
    parts = "b1: {kind: battery, post_covers: both}\nb2: {kind: battery, post_covers: none}"
    [complaint] = judge(parts, [rule("one", finding={"explains": ["sparks"]})], SPARKS).complaints
    causes = [(cause.about, cause.standing) for cause in complaint.causes]
    assert causes == [("battery b2", "supported"), ("battery b1", "ruled out")]


def test_no_standing_is_given_to_what_does_not_apply() -> None:
    assert set(Verdict) - set(STANDING) == {Verdict.DOES_NOT_APPLY}


def test_in_the_loop_sample_the_loop_is_supported(reviewed: Callable[[str], Review]) -> None:
    standing = {
        name: {cause.said.rule.name: cause.standing for cause in reviewed(name).complaints[0].causes}
        for name in ("reed-loop", "reed-cured", "reed-unknown")
    }
    loop = {name: its["charger-fed-by-its-own-battery"] for name, its in standing.items()}
    assert loop == {"reed-loop": "supported", "reed-cured": "ruled out", "reed-unknown": "open"}
