"""The chain: one verdict for every rule and anchor, conclusions that merge, no order that matters."""

import random
from collections.abc import Mapping, Sequence

import pytest

from ringout.facts.fact import Fact
from ringout.inference import durable
from ringout.inference.chain import Chained, Known, MakeMatcher, Said, Verdict, chain, judge_step, patterns
from ringout.inference.durable import DurableMatcher
from ringout.inference.judge import Truth
from ringout.inference.pattern import Matcher, Pattern
from ringout.inference.pattern import Term as Asked
from ringout.inference.plain import PlainMatcher
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice
from ringout.rulebase.condition import AllOf, Attr, Compare, Condition, Not
from ringout.rulebase.load import levelled
from ringout.rulebase.rule import Conclusion, Rule, Term
from ringout.text.problem import Spot

YES_NO = frozenset({"yes", "no"})
HINT = Choice(frozenset({"yes"}))
ENGINES: list[MakeMatcher] = [PlainMatcher, DurableMatcher] if durable.available() else [PlainMatcher]


def leaf(path: str, answer: str) -> Leaf:
    """yes, no, `?` for open, `(yes)` for one that is only supposed, `"yes"` for one that was only said."""
    if answer == "(yes)":
        return Leaf(path, Choice(YES_NO), origin=Origin.SUPPOSED, hint=HINT)
    if answer.startswith('"'):
        return Leaf(path, Choice(YES_NO), origin=Origin.SAID, word=Choice(frozenset({answer.strip('"')})))
    return Leaf(path, Choice(YES_NO if answer == "?" else frozenset({answer})))


def fact(
    type: str, *keys: str, known: Mapping[str, str] | None = None, standing: str = "", **said: str
) -> Fact:
    id = f"{type}({', '.join(keys)})"
    values = {name: leaf(f"{id}.{name}", answer) for name, answer in said.items()}
    named = dict(zip(("part", "other"), keys, strict=False))
    return Fact(type, named, values, known or {}, (leaf(standing, "(yes)"),) if standing else ())


def is_yes(alias: str, name: str = "bad") -> Compare:
    return Compare("eq", Attr(alias, name), words=frozenset({"yes"}))


def term(alias: str, type: str, join: str = "", **words: str) -> Term:
    """A term that meets an earlier alias on its part, where one is named."""
    return Term(alias, type, {"part": (join, "part")} if join else {}, words)


def rule(
    name: str,
    *terms: Term,
    when: Condition | None = None,
    given: Condition | None = None,
    unless: Condition | None = None,
    makes: str = "",
) -> Rule:
    conclusion = Conclusion(makes, {"part": (terms[0].alias, "part")}) if makes else None
    spot = Spot(f"{name}.yaml", 1, 1)
    return Rule(name, name, "loads", "", terms, given, when, unless, conclusion, None, (), (), spot)


def run(rules: Sequence[Rule], facts: Sequence[Fact], make: MakeMatcher = PlainMatcher) -> Chained:
    return chain(levelled(list(rules)), facts, make)


def only(out: Chained) -> Said:
    (said,) = out.said
    return said


def brief(out: Chained) -> list[tuple[str, str, str]]:
    return [(said.rule.name, said.anchor.id, said.verdict.value) for said in out.said]


def picture(out: Chained) -> object:
    """All that an outcome holds, without what may not matter."""
    said = [
        (
            each.rule.name,
            each.anchor.id,
            each.verdict,
            each.missing,
            [(step.verdict, step.suggested, [leaf.path for leaf in step.needs]) for step in each.steps],
        )
        for each in out.said
    ]
    facts = {
        id: (known.truth, sorted(leaf.path for leaf in known.needs), [step.rule.name for step in known.steps])
        for id, known in out.facts.items()
    }
    return said, facts, out.agenda


# -- the four verdicts ---------------------------------------------------------------------------------------

BAD = rule("bad", term("a", "thing"), when=is_yes("a"))


@pytest.mark.parametrize(("answer", "verdict"), [("yes", "wrong"), ("no", "right"), ("?", "not known")])
def test_a_condition_gives_its_verdict(answer: str, verdict: str) -> None:
    said = only(run([BAD], [fact("thing", "b1", bad=answer)]))
    assert said.verdict.value == verdict
    assert said.step is not None
    assert [each.path for each in said.step.needs] == (["thing(b1).bad"] if answer == "?" else [])


@pytest.mark.parametrize(
    ("given", "when", "verdict"),
    [
        ("no", "yes", "does not apply"),
        ("no", "?", "does not apply"),
        ("?", "yes", "not known"),
        ("?", "?", "not known"),
        ("?", "no", "right"),
        ("yes", "yes", "wrong"),
        ("yes", "no", "right"),
    ],
)
def test_given_says_whether_the_rule_applies(given: str, when: str, verdict: str) -> None:
    made = rule("r", term("a", "thing"), given=is_yes("a", "asked"), when=is_yes("a"))
    assert only(run([made], [fact("thing", "b1", bad=when, asked=given)])).verdict.value == verdict


@pytest.mark.parametrize(("excuse", "verdict"), [("yes", "right"), ("no", "wrong"), ("?", "not known")])
def test_an_exception_turns_wrong_into_right(excuse: str, verdict: str) -> None:
    made = rule("r", term("a", "thing"), when=is_yes("a"), unless=is_yes("a", "excused"))
    assert only(run([made], [fact("thing", "b1", bad="yes", excused=excuse)])).verdict.value == verdict


def test_a_rule_without_conditions_is_wrong_wherever_its_facts_stand_together() -> None:
    made = rule("r", term("a", "thing"), term("b", "mate", join="a"))
    assert only(run([made], [fact("thing", "b1"), fact("mate", "b1")])).verdict is Verdict.WRONG


def test_a_missing_partner_is_named() -> None:
    made = rule("r", term("a", "thing"), term("b", "mate", join="a"), term("c", "guard", join="a"))
    alone = only(run([made], [fact("thing", "b1")]))
    assert (alone.verdict, alone.missing, alone.step) == (Verdict.DOES_NOT_APPLY, "mate", None)
    half = only(run([made], [fact("thing", "b1"), fact("mate", "b1")]))
    assert half.missing == "guard"
    apart = only(run([made], [fact("thing", "b1"), fact("mate", "b2"), fact("guard", "b1")]))
    assert (apart.verdict, apart.missing) == (Verdict.DOES_NOT_APPLY, "guard")


def test_of_several_partners_the_worst_decides_and_stands_first() -> None:
    made = rule("r", term("a", "thing"), term("b", "mate", join="a"), when=is_yes("b"))
    mates = {
        name: fact("mate", "b1", name, bad=answer)
        for name, answer in zip("xyz", ("no", "?", "yes"), strict=True)
    }
    for names, verdict in (("x", "right"), ("xy", "not known"), ("xyz", "wrong"), ("xz", "wrong")):
        said = only(run([made], [fact("thing", "b1"), *(mates[name] for name in names)]))
        assert said.verdict.value == verdict
        assert len(said.steps) == len(names)
        assert said.step is not None and said.step.verdict is said.verdict


def test_one_verdict_for_every_anchor_and_no_other_fact() -> None:
    facts = [fact("thing", "b1", bad="yes"), fact("thing", "b2", bad="no"), fact("mate", "b1", bad="yes")]
    assert brief(run([BAD], facts)) == [("bad", "thing(b1)", "wrong"), ("bad", "thing(b2)", "right")]


def test_settled_words_join_and_pick_out_partners() -> None:
    made = rule("r", term("a", "thing"), term("b", "mate", join="a", sort="shore"), when=is_yes("b"))
    facts = [
        fact("thing", "b1"),
        fact("mate", "b1", "x", known={"sort": "shore"}, bad="no"),
        fact("mate", "b1", "y", known={"sort": "inverter"}, bad="yes"),
    ]
    assert only(run([made], facts)).verdict is Verdict.RIGHT


# -- conclusions ---------------------------------------------------------------------------------------------

FIRST = rule("first", term("a", "thing"), when=is_yes("a"), makes="trouble")
SECOND = rule("second", term("a", "thing"), when=is_yes("a", "also"), makes="trouble")
READER = rule("reader", term("a", "thing"), term("t", "trouble", join="a"))


@pytest.mark.parametrize(
    ("answer", "verdict", "needs"),
    [("yes", "wrong", []), ("?", "not known", ["thing(b1).bad"]), ("no", "does not apply", [])],
)
def test_a_conclusion_carries_its_truth_and_its_needs(answer: str, verdict: str, needs: list[str]) -> None:
    out = run([FIRST, READER], [fact("thing", "b1", bad=answer)])
    said = next(each for each in out.said if each.rule.name == "reader")
    assert said.verdict.value == verdict
    assert [leaf.path for leaf in (said.step.needs if said.step else ())] == needs


@pytest.mark.parametrize(
    ("one", "other", "truth", "needs"),
    [
        ("yes", "yes", Truth.YES, []),
        ("yes", "?", Truth.YES, []),
        ("?", "yes", Truth.YES, []),
        ("?", "?", Truth.OPEN, ["thing(b1).also", "thing(b1).bad"]),
    ],
)
def test_equal_conclusions_merge_and_keep_all_that_made_them(
    one: str, other: str, truth: Truth, needs: list[str]
) -> None:
    out = run([FIRST, SECOND], [fact("thing", "b1", bad=one, also=other)])
    trouble = out.facts["trouble(b1)"]
    assert trouble.truth is truth
    assert sorted(leaf.path for leaf in trouble.needs) == needs
    assert sorted(step.rule.name for step in trouble.steps) == ["first", "second"]


@pytest.mark.parametrize(
    ("low", "high", "truth", "needs"),
    [
        ("yes", "?", Truth.YES, []),
        ("?", "yes", Truth.YES, []),
        ("?", "?", Truth.OPEN, ["thing(b1).also", "thing(b1).bad"]),
    ],
)
def test_conclusions_of_two_levels_merge_too(low: str, high: str, truth: Truth, needs: list[str]) -> None:
    base = rule("base", term("a", "thing"), makes="ground")
    above = rule(
        "above", term("a", "thing"), term("g", "ground", join="a"), when=is_yes("a", "also"), makes="trouble"
    )
    out = run([FIRST, base, above], [fact("thing", "b1", bad=low, also=high)])
    trouble = out.facts["trouble(b1)"]
    assert trouble.truth is truth
    assert sorted(leaf.path for leaf in trouble.needs) == needs
    assert [step.rule.name for step in trouble.steps] == ["first", "above"]


def test_a_conclusion_takes_its_keys_from_its_facts_or_as_written() -> None:
    made = Rule(
        "r", "r", "loads", "", (term("a", "thing"),), None, None, None,
        Conclusion("drain", {"part": ("a", "part"), "cause": "loop"}), None, (), (), Spot("r.yaml", 1, 1),
    )  # fmt: skip
    assert "drain(b1, loop)" in run([made], [fact("thing", "b1")]).facts


def test_what_is_right_or_does_not_apply_concludes_nothing() -> None:
    given = rule("given", term("a", "thing"), given=is_yes("a"), makes="other_trouble")
    assert list(run([FIRST, given], [fact("thing", "b1", bad="no")]).facts) == ["thing(b1)"]


def test_three_levels_carry_through() -> None:
    rules = [
        rule("a", term("x", "thing"), when=is_yes("x"), makes="one"),
        rule("b", term("x", "thing"), term("y", "one", join="x"), makes="two"),
        rule("c", term("x", "thing"), term("y", "two", join="x")),
    ]
    out = run(
        rules, [fact("thing", "b1", bad="yes"), fact("thing", "b2", bad="?"), fact("thing", "b3", bad="no")]
    )
    assert [verdict for name, _, verdict in brief(out) if name == "c"] == [
        "wrong",
        "not known",
        "does not apply",
    ]
    (step,) = out.facts["two(b1)"].steps
    assert [each.rule.name for each in step.binding["y"].steps] == ["a"]


# -- supposed ------------------------------------------------------------------------------------------------


def test_a_supposed_value_suggests_and_clears_nothing() -> None:
    said = only(run([BAD], [fact("thing", "b1", bad="(yes)")]))
    assert said.step is not None
    assert (said.verdict, said.step.suggested) == (Verdict.NOT_KNOWN, True)
    turned = rule("turned", term("a", "thing"), when=Not(is_yes("a")))
    cleared = only(run([turned], [fact("thing", "b1", bad="(yes)")]))
    assert cleared.step is not None
    assert (cleared.verdict, cleared.step.suggested) == (Verdict.NOT_KNOWN, False)


@pytest.mark.parametrize(("answer", "suggested"), [("yes", True), ("no", False), ("?", False)])
def test_a_supposed_part_is_never_right_nor_wrong(answer: str, suggested: bool) -> None:
    said = only(run([BAD], [fact("thing", "b1", standing="b1.there", bad=answer)]))
    assert said.step is not None
    assert (said.verdict, said.step.suggested) == (Verdict.NOT_KNOWN, suggested)
    assert "b1.there" in [leaf.path for leaf in said.step.needs]


def test_a_supposed_partner_leaves_it_open_too() -> None:
    made = rule("r", term("a", "thing"), term("b", "mate", join="a"), when=is_yes("b"))
    said = only(run([made], [fact("thing", "b1"), fact("mate", "b1", standing="m.there", bad="no")]))
    assert said.verdict is Verdict.NOT_KNOWN


@pytest.mark.parametrize(("said", "verdict"), [('"yes"', "wrong"), ('"no"', "not known"), ("?", "not known")])
def test_the_word_of_one_who_cannot_know_finds_and_never_clears(said: str, verdict: str) -> None:
    found = only(run([BAD], [fact("thing", "b1", bad=said)]))
    assert found.verdict.value == verdict
    assert found.step is not None
    assert [leaf.path for leaf in found.step.needs] == ([] if verdict == "wrong" else ["thing(b1).bad"])


@pytest.mark.parametrize(("said", "verdict"), [('"yes"', "not known"), ('"no"', "wrong"), ("yes", "right")])
def test_the_word_of_one_who_cannot_know_excuses_nothing(said: str, verdict: str) -> None:
    made = rule("r", term("a", "thing"), when=is_yes("a"), unless=is_yes("a", "excused"))
    assert only(run([made], [fact("thing", "b1", bad="yes", excused=said)])).verdict.value == verdict


@pytest.mark.parametrize(("said", "verdict"), [('"yes"', "wrong"), ('"no"', "not known"), ("no", "does not apply")])
def test_by_the_word_of_one_who_cannot_know_no_rule_falls_away(said: str, verdict: str) -> None:
    made = rule("r", term("a", "thing"), given=is_yes("a", "asked"), when=is_yes("a"))
    assert only(run([made], [fact("thing", "b1", bad="yes", asked=said)])).verdict.value == verdict


@pytest.mark.parametrize(("said", "verdict"), [('"yes"', "wrong"), ('"no"', "not known"), ("no", "does not apply")])
def test_what_such_a_word_shows_carries_up_the_chain(said: str, verdict: str) -> None:
    above = rule("above", term("a", "thing"), term("t", "trouble", join="a"))
    found = brief(run([FIRST, above], [fact("thing", "b1", bad=said)]))
    assert [word for name, _, word in found if name == "above"] == [verdict]


def test_a_step_may_be_judged_in_a_view() -> None:
    bound = {"a": Known(fact("thing", "b1", bad="?"))}
    assert judge_step(BAD, bound).verdict is Verdict.NOT_KNOWN
    view = {"thing(b1).bad": Choice(frozenset({"no"}))}
    assert judge_step(BAD, bound, view).verdict is Verdict.RIGHT


# -- engines and order ---------------------------------------------------------------------------------------


def test_an_engine_compiles_a_tuple_of_rules_once_and_others_anew() -> None:
    made: list[Matcher] = []

    def make(levels: Sequence[Sequence[Pattern]]) -> Matcher:
        made.append(PlainMatcher(levels))
        return made[-1]

    rules = levelled([rule("bad", term("a", "thing"), when=is_yes("a"))])
    other = levelled([rule("bad", term("a", "other"), when=is_yes("a"))])
    outs = [chain(used, [fact("thing", "t", bad="yes")], make) for used in (rules, rules, other, list(rules))]
    assert [len(out.said) for out in outs] == [1, 1, 0, 1]
    assert len(made) == 3


def test_what_the_engine_is_asked() -> None:
    low, high = levelled([FIRST, rule("r", term("a", "thing"), term("t", "trouble", join="a", sort="x"))])
    assert patterns([low, high]) == [
        [Pattern("first", (Asked("a", "thing"),))],
        [
            Pattern(
                "r", (Asked("a", "thing"), Asked("t", "trouble", (("sort", "x"),), (("part", "a", "part"),)))
            )
        ],
    ]
    assert patterns([]) == []


def pack(seed: int) -> tuple[list[Rule], list[Fact]]:
    """Rules of up to three levels and facts of which much is not known."""
    draw = random.Random(seed)
    answers = ("yes", "no", "?", "(yes)")
    types = ("thing", "mate", "guard")

    def test(alias: str) -> Condition:
        name = draw.choice(["bad", "also"])
        return Not(is_yes(alias, name)) if draw.random() < 0.3 else is_yes(alias, name)

    def made(name: str, reads: Sequence[str], makes: str) -> Rule:
        terms = [term("t0", draw.choice(types))]
        for number in range(1, draw.randint(1, 3)):
            join = f"t{draw.randrange(number)}" if draw.random() < 0.8 else ""
            terms.append(term(f"t{number}", draw.choice([*types, *reads]), join=join))
        given_facts = [each.alias for each in terms if each.fact in types]
        when = AllOf(tuple(test(draw.choice(given_facts)) for _ in range(draw.randint(1, 2))))
        given = test("t0") if draw.random() < 0.3 else None
        unless = test("t0") if draw.random() < 0.3 else None
        return rule(name, *terms, when=when, given=given, unless=unless, makes=makes)

    rules = [made(f"a{n}", (), draw.choice(["one", ""])) for n in range(4)]
    rules += [made(f"b{n}", ("one",), draw.choice(["two", ""])) for n in range(4)]
    rules += [made(f"c{n}", ("one", "two"), "") for n in range(3)]
    facts = [
        fact(
            type,
            f"p{number}",
            standing=f"p{number}.there" if draw.random() < 0.15 else "",
            bad=draw.choice(answers),
            also=draw.choice(answers),
        )
        for type in types
        for number in range(draw.randint(1, 3))
    ]
    return rules, facts


@pytest.mark.parametrize("seed", range(40))
def test_no_order_of_facts_or_rules_and_no_engine_changes_anything(seed: int) -> None:
    rules, facts = pack(seed)
    out = run(rules, facts)
    # Exactly one verdict for every rule and every given fact of its anchor's type.
    wanted = sorted((each.name, one.id) for each in rules for one in facts if one.type == each.anchor.fact)
    assert [(name, id) for name, id, _ in brief(out)] == wanted
    for engine in ENGINES:
        for shuffle in range(2):
            order = random.Random(shuffle)
            order.shuffle(rules)
            order.shuffle(facts)
            assert picture(run(rules, facts, engine)) == picture(out)


def test_the_packs_are_worth_trying() -> None:
    verdicts = [verdict for seed in range(40) for _, _, verdict in brief(run(*pack(seed)))]
    assert {each: verdicts.count(each) > 50 for each in set(verdicts)} == {v.value: True for v in Verdict}
