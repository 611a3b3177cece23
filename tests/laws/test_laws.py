"""Laws that hold for the shipped rules on every case, whatever the rules say.

Both engines agree; order does not matter; knowing less never settles anything; knowing more never turns round
what was settled. "Right", "does not apply" and no verdict at all count as one: not wrong.
"""

import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from case_leaves import CASES, MARKS, NUMBER, fields, found_out, put, read_too, to_find_out
from verdicts import NOT_YET, by_subject, moves, reviewed

from ringout.case.case import Case
from ringout.case.form import sheet
from ringout.case.frame import LOOKED
from ringout.case.load import load, load_text
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.inference import durable
from ringout.inference.chain import Chained, MakeMatcher, chain
from ringout.inference.durable import DurableMatcher
from ringout.inference.plain import PlainMatcher
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Domain, Span
from ringout.rulebase.load import rulebase

TRIES = 2
SHARE = 0.15
"""The part of the leaves that is changed at a time."""
STOOD_IN_FOR = {"nominal", "nominal_in", "usable", "internal", "resistance", "interrupts", "rcd", "earth", "earth_ohm"}
"""Fields for which a table or the whole installation stands in once they fall silent: another voice, not silence."""
OUTRANKS = {"status": "a part does its work until somebody says otherwise", "bond_tested": "then the papers speak"}
"""Fields that outrank another voice, with what that says once they fall silent."""

each_case = pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)

Moves = Iterator[tuple[str, str, str, str]]


def known_leaves(case: Case) -> Iterator[tuple[Leaf, Domain]]:
    """What the case says, with the widest it could be."""
    read, other = read_too(case), NUMBER | MARKS | STOOD_IN_FOR | OUTRANKS.keys()
    for its, field, leaf in fields(case):
        if field.name not in other and its.form.kind != "bank" and leaf.path not in read:
            yield leaf, field.widest
    for kind in ("fuse", "breaker", "isolator", "rcd"):
        yield case.looked(kind), Choice(frozenset(LOOKED))
    if not any(part.leaf("nominal").known for part in case.with_role("storage")):
        yield case.dc_volts, sheet("installation").fields["dc_volts"].widest


def knowing_less(path: Path) -> Moves:
    """Some of what is known made open: what moved, but for what was only noted and now is no fact any more."""
    before = reviewed(load(path))
    for seed in range(TRIES):
        draw, case = random.Random(f"{path.stem} {seed}"), load(path)
        said = [each for each in known_leaves(case) if each[0].domain != each[1] and draw.random() < SHARE]
        put(case, {leaf.path: opened(leaf, widest) for leaf, widest in said})
        yield from ((*key, was, now) for *key, now, was in moves(reviewed(case), before) if was != now)


def knowing_more(path: Path) -> Moves:
    """Some of what is open narrowed, to a range, some words or a point: what moved."""
    before = reviewed(load(path))
    for seed in range(TRIES):
        draw, case = random.Random(f"{path.stem} {seed}"), load(path)
        some = {name: each for name, each in to_find_out(case).items() if draw.random() < 2 * SHARE}
        put(case, {name: found_out(leaf, narrowed(domain, draw)) for name, (leaf, domain) in some.items()})
        yield from (move for move in moves(before, reviewed(case)) if move[2] != move[3])


def opened(leaf: Leaf, widest: Domain) -> Leaf:
    """The leaf as if nobody had said anything."""
    return Leaf(leaf.path, widest, leaf.dimension, spot=leaf.spot)


def narrowed(domain: Domain, draw: random.Random) -> Domain:
    """Some of a domain, one point of it at least."""
    if isinstance(domain, Choice):
        return Choice(frozenset(draw.sample(sorted(domain.options), draw.randint(1, len(domain.options)))))
    one, other = (draw.uniform(domain.lo, domain.hi) for _ in range(2))
    return Span(one, one) if draw.random() < 0.3 else Span(min(one, other), max(one, other))


@each_case
def test_knowing_less_settles_nothing(path: Path) -> None:
    assert [move for move in knowing_less(path) if move[3] != NOT_YET] == []


@each_case
def test_knowing_more_turns_nothing_round(path: Path) -> None:
    assert [move for move in knowing_more(path) if move[2] != NOT_YET] == []


def test_the_laws_are_tried_on_moves_that_happen() -> None:
    """Were nothing ever to move, the laws above would hold of anything."""
    assert len([move for path in CASES[8:12] for move in knowing_less(path)]) > 20
    assert len([move for path in CASES[8:12] for move in knowing_more(path)]) > 20


# -- engines and order ---------------------------------------------------------------------------------------


def picture(out: Chained) -> tuple[Any, list[str], Any]:
    said = [(each.rule.name, each.anchor.id, each.verdict, each.missing) for each in out.said]
    return said, sorted(out.facts), out.agenda


@each_case
def test_every_rule_gives_every_anchor_one_verdict(path: Path) -> None:
    facts = gather(load(path))
    out = chain(rulebase(), facts, PlainMatcher)
    wanted = sorted(
        (rule.name, fact.id) for rule in rulebase() for fact in facts if fact.type == rule.anchor.fact
    )
    assert [(said.rule.name, said.anchor.id) for said in out.said] == wanted


@each_case
def test_order_does_not_matter(path: Path) -> None:
    rules, facts = list(rulebase()), gather(load(path))
    first = picture(chain(rules, facts, PlainMatcher))
    random.Random(path.stem).shuffle(rules)
    random.Random(path.stem).shuffle(facts)
    assert picture(chain(rules, facts, PlainMatcher)) == first


@each_case
def test_a_fact_that_no_rule_reads_changes_nothing(path: Path) -> None:
    facts = gather(load(path))
    keys = {key: name for fact in facts[:3] for key, name in fact.keys.items()}
    dust = Fact("seen_by_nobody", keys, known={"sort": "dust"})
    said, ids, agenda = picture(chain(rulebase(), facts, PlainMatcher))
    assert picture(chain(rulebase(), [*facts, dust], PlainMatcher)) == (said, sorted([*ids, dust.id]), agenda)


def shuffled(path: Path) -> Case:
    """The case with its parts, lines, places and readings written in another order, and its top as well."""
    written = yaml.load(path.read_text("utf-8"), yaml.BaseLoader)
    draw = random.Random(path.stem)
    mixes = {"parts", "dc", "ac", "places", "readings", "looked_for", "complaints"}

    def mixed(value: Any) -> Any:
        if isinstance(value, list):
            return draw.sample(value, len(value))
        return dict(draw.sample(sorted(value.items()), len(value)))

    made = {name: mixed(value) if name in mixes else value for name, value in mixed(written).items()}
    return load_text(yaml.dump(made, sort_keys=False, allow_unicode=True), path.name)


@each_case
def test_the_order_in_which_a_case_is_written_does_not_matter(path: Path) -> None:
    one, other = (by_subject(reviewed(case)) for case in (shuffled(path), load(path)))
    assert {key: said.verdict for key, said in one.items()} == {key: said.verdict for key, said in other.items()}


@each_case
def test_both_engines_find_the_same_candidates_and_verdicts(path: Path) -> None:
    engines: list[MakeMatcher] = [PlainMatcher, DurableMatcher] if durable.available() else [PlainMatcher]
    facts = gather(load(path))
    first, *others = [picture(chain(rulebase(), facts, engine)) for engine in engines]
    assert all(other == first for other in others)
