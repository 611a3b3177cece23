"""In random rule packs neither names matter nor how many facts a thing is told in; knowing more turns nothing round.

Other names for facts, keys, types, attributes and aliases: the same candidates and verdicts. A fact of several
attributes told as two facts with the same keys, each term of it as two joined terms: the same verdicts. A leaf
narrowed or made open, a fact that no rule reads: as for cases (`test_laws`).
"""

import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import packs
import pytest

from ringout.facts.fact import Fact
from ringout.inference import durable, judge
from ringout.inference.chain import MakeMatcher, Verdict, chain
from ringout.inference.durable import DurableMatcher
from ringout.inference.plain import PlainMatcher
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import Traced, Value, leaves_of
from ringout.rulebase.condition import Attr, Compare, Condition, LimitRef, Not
from ringout.rulebase.rule import Rule, Term

PACKS = 200
ENGINES: list[MakeMatcher] = [PlainMatcher, DurableMatcher] if durable.available() else [PlainMatcher]
MORE = " more"
"""Behind the name of a type or an alias: the second half of what was split."""


@pytest.fixture(autouse=True)
def limits(monkeypatch: pytest.MonkeyPatch) -> None:
    """The limits that the packs compare with."""
    monkeypatch.setattr(judge, "limits", lambda: dict(packs.LIMITS))


def with_attrs(condition: Condition | None, to: Callable[[Attr], Attr]) -> Any:
    """A condition that reads other attributes."""
    if condition is None:
        return None
    if isinstance(condition, Not):
        return Not(with_attrs(condition.of, to))
    if isinstance(condition, Compare):
        right = condition.right
        if isinstance(right, Attr):
            right = to(right)
        elif isinstance(right, LimitRef) and right.by is not None:
            right = replace(right, by=to(right.by))
        return replace(condition, left=to(condition.left), right=right)
    return replace(condition, of=tuple(with_attrs(each, to) for each in condition.of))


# -- names ---------------------------------------------------------------------------------------------------


@dataclass
class Names:
    """Other names, drawn as they are asked for: a sort of name and the old one always give the same new one."""

    by: random.Random

    def __post_init__(self) -> None:
        self.made: dict[tuple[str, str], str] = {}
        self.free = self.by.sample(range(1000, 9999), 500)

    def __call__(self, sort: str, old: str) -> str:
        if (sort, old) not in self.made:
            self.made[sort, old] = f"{self.by.choice('azq')}{self.free.pop()}"
        return self.made[sort, old]

    def fact(self, fact: Fact) -> Fact:
        return Fact(
            self("type", fact.type),
            {self("key", key): self("name", name) for key, name in fact.keys.items()},
            {self("key", name): value for name, value in fact.values.items()},
            {self("key", key): self("name", name) for key, name in fact.known.items()},
            fact.standing,
        )

    def rule(self, rule: Rule) -> Rule:
        def alias(old: str) -> str:
            return self(f"alias of {rule.name}", old)

        def attr(old: Attr) -> Attr:
            return Attr(alias(old.alias), self("key", old.name))

        def source(old: tuple[str, str] | str) -> tuple[str, str] | str:
            return self("name", old) if isinstance(old, str) else (alias(old[0]), self("key", old[1]))

        terms = tuple(
            Term(
                alias(term.alias),
                self("type", term.fact),
                {self("key", key): (alias(other), self("key", name)) for key, (other, name) in term.joins.items()},
                {self("key", key): self("name", word) for key, word in term.words.items()},
            )
            for term in rule.terms
        )
        made = rule.conclusion
        if made is not None:
            keys = {self("key", key): source(each) for key, each in made.keys.items()}
            made = replace(made, fact=self("type", made.fact), keys=keys)
        given, when, unless = (with_attrs(each, attr) for each in (rule.given, rule.when, rule.unless))
        return replace(rule, terms=terms, conclusion=made, given=given, when=when, unless=unless)


@pytest.mark.parametrize("make", ENGINES)
def test_other_names_give_the_same_candidates_and_verdicts(make: MakeMatcher) -> None:
    seen = 0
    for seed in range(PACKS):
        drawn, new = packs.pack(seed), Names(random.Random(seed))
        before = chain(list(drawn.rules), list(drawn.facts), PlainMatcher)
        after = chain([new.rule(rule) for rule in drawn.rules], [new.fact(fact) for fact in drawn.facts], make)
        ids = {id: new.fact(known.fact).id for id, known in before.facts.items()}
        said = {
            (each.rule.name, ids[each.anchor.id]): (each.verdict, each.missing and new("type", each.missing))
            for each in before.said
        }
        assert {(each.rule.name, each.anchor.id): (each.verdict, each.missing) for each in after.said} == said, seed
        candidates = sorted((name, tuple(ids[id] for id in found)) for name, found in before.agenda)
        assert sorted(after.agenda) == candidates, seed
        assert {ids[id]: known.truth for id, known in before.facts.items()} == {
            id: known.truth for id, known in after.facts.items()
        }, seed
        seen += len(candidates)
    assert seen > 10 * PACKS, "there was something to agree on"


# -- splitting -----------------------------------------------------------------------------------------------


def halves(fact: Fact, apart: Mapping[str, frozenset[str]]) -> list[Fact]:
    """A fact of a type to be split as two facts with its keys."""
    if fact.type not in apart:
        return [fact]
    kept = {name: value for name, value in fact.values.items() if name not in apart[fact.type]}
    more = {name: value for name, value in fact.values.items() if name in apart[fact.type]}
    return [replace(fact, values=kept), Fact(fact.type + MORE, fact.keys, more, {}, fact.standing)]


def in_halves(rule: Rule, apart: Mapping[str, frozenset[str]]) -> Rule:
    """The rule with each term of a split type followed by one for its second half."""
    types = {term.alias: term.fact for term in rule.terms}
    terms: list[Term] = []
    for term in rule.terms:
        terms.append(term)
        if term.fact in apart:
            joins = {key: (term.alias, key) for key in packs.GIVEN[term.fact]}
            terms.append(Term(term.alias + MORE, term.fact + MORE, joins, {}))

    def attr(old: Attr) -> Attr:
        return Attr(old.alias + MORE, old.name) if old.name in apart.get(types[old.alias], ()) else old

    given, when, unless = (with_attrs(each, attr) for each in (rule.given, rule.when, rule.unless))
    return replace(rule, terms=tuple(terms), given=given, when=when, unless=unless)


@pytest.mark.parametrize("make", ENGINES)
def test_facts_told_in_two_halves_give_the_same_verdicts(make: MakeMatcher) -> None:
    attributes = [*packs.AMOUNTS, *packs.WORDS, packs.SORT]
    split = 0
    for seed in range(PACKS):
        drawn, by = packs.pack(seed), random.Random(seed)
        types = by.sample(list(packs.GIVEN), 2)
        apart = {type: frozenset(by.sample(attributes, by.randint(1, 4))) for type in types}
        before = chain(list(drawn.rules), list(drawn.facts), PlainMatcher)
        facts = [half for fact in drawn.facts for half in halves(fact, apart)]
        after = chain([in_halves(rule, apart) for rule in drawn.rules], facts, make)

        def verdicts(out: Any) -> dict[tuple[str, str], Any]:
            return {(x.rule.name, x.anchor.id): (x.verdict, x.missing.removesuffix(MORE)) for x in out.said}

        assert verdicts(after) == verdicts(before), seed
        assert len(after.agenda) == len(before.agenda), seed
        assert {id: x.truth for id, x in after.facts.items() if MORE not in id} == {
            id: x.truth for id, x in before.facts.items()
        }, seed
        split += sum(fact.type in apart for fact in drawn.facts)
    assert split > 2 * PACKS


# -- knowing more and less -----------------------------------------------------------------------------------


def with_leaves(value: Value, new: Mapping[str, Leaf]) -> Value:
    if isinstance(value, Leaf):
        return new.get(value.path, value)
    return Traced(value.fn, tuple(with_leaves(each, new) for each in value.inputs), name=value.name)


def narrower(leaf: Leaf, by: random.Random) -> Leaf:
    if isinstance(leaf.domain, Choice):
        return replace(leaf, domain=Choice(frozenset({by.choice(sorted(leaf.domain.options))})))
    low = by.uniform(leaf.domain.lo, min(leaf.domain.hi, leaf.domain.lo + 10))
    return replace(leaf, domain=Span(low, low if by.random() < 0.5 else leaf.domain.hi))


def standing(out: Any) -> dict[tuple[str, str], str]:
    """What is said of each anchor; what is right, does not apply or is not spoken of is left out."""
    words = {(x.rule.name, x.anchor.id): x.verdict for x in out.said}
    return {key: verdict.value for key, verdict in words.items() if verdict in (Verdict.WRONG, Verdict.NOT_KNOWN)}


def test_a_narrowed_leaf_turns_no_settled_verdict_and_an_opened_one_settles_none() -> None:
    settled = 0
    for seed in range(PACKS):
        drawn, by = packs.pack(seed), random.Random(seed)
        values = [value for fact in drawn.facts for value in (*fact.values.values(), *fact.standing)]
        leaves = {leaf.path: leaf for value in values for leaf in leaves_of(value)}
        new = {path: narrower(leaf, by) for path, leaf in sorted(leaves.items()) if by.random() < 0.5}
        facts = [
            replace(
                fact,
                values={name: with_leaves(value, new) for name, value in fact.values.items()},
                standing=tuple(new.get(leaf.path, leaf) for leaf in fact.standing),
            )
            for fact in drawn.facts
            # What turns out not to be there is no fact.
            if not any(new.get(leaf.path, leaf).domain == Choice(frozenset({"no"})) for leaf in fact.standing)
        ]
        less, more = (standing(chain(list(drawn.rules), each, PlainMatcher)) for each in (drawn.facts, facts))
        for key in less.keys() | more.keys():
            one, other = less.get(key, "not wrong"), more.get(key, "not wrong")
            assert one in ("not known", other), f"seed {seed}: {key} is {other}, was {one}"
            settled += one == "not known" != other
    assert settled > PACKS


def test_a_fact_that_no_rule_reads_changes_nothing() -> None:
    for seed in range(PACKS):
        drawn = packs.pack(seed)
        dust = Fact("dust", dict(drawn.facts[0].keys) if drawn.facts else {"part": "b1"})
        before, after = (chain(list(drawn.rules), each, PlainMatcher) for each in (drawn.facts, [*drawn.facts, dust]))
        assert [(x.rule, x.anchor.id, x.verdict, x.missing) for x in before.said] == [
            (x.rule, x.anchor.id, x.verdict, x.missing) for x in after.said
        ], seed
        assert before.agenda == after.agenda, seed
