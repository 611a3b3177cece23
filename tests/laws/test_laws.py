"""Laws that hold for the shipped rules on every case, whatever the rules say.

Both engines agree; order does not matter; knowing less never settles anything; knowing more never turns round
what was settled. "Right", "does not apply" and no verdict at all count as one: not wrong.
"""

import random
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml

from ringout.case.case import Case, Sheet
from ringout.case.form import sheet
from ringout.case.frame import LOOKED
from ringout.case.load import load, load_text
from ringout.facts.as_read import spoken
from ringout.facts.catalogue import catalogue
from ringout.facts.fact import Fact
from ringout.facts.gather import gather
from ringout.inference import durable
from ringout.inference.chain import Chained, MakeMatcher, Verdict, chain
from ringout.inference.durable import DurableMatcher
from ringout.inference.plain import PlainMatcher
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Domain, Span
from ringout.rulebase.load import rulebase
from ringout.rulebase.rule import Rule
from ringout.shipped import cases_root

OWN = Path(__file__).parents[1] / "facts" / "cases"
CASES = sorted([*OWN.glob("*.yaml"), *cases_root().glob("*.yaml")])
TRIES = 2
SHARE = 0.15
"""The part of the leaves that is changed at a time."""
NUMBER = {"count", "duty"}
"""Fields that say how many things there are and which belong together: another number is another case."""
MARKS = set(catalogue()["mark"].attributes)
"""Signs of heat, wet and the like: noting one for the first time is a new finding of the inspection."""
STOOD_IN_FOR = {"nominal", "usable", "internal", "resistance", "interrupts", "rcd", "earth", "earth_ohm"}
"""Fields for which a table or the whole installation stands in while they are silent: a random word of their
own would contradict what was said, not add to it."""

each_case = pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)

Change = Callable[[Leaf, Domain, random.Random], Leaf]
Answers = dict[tuple[str, str], Verdict]


def sheets(case: Case) -> Iterator[Sheet]:
    yield from (case.habits, case.surroundings, case.mains, *case.parts.values(), *case.places.values())
    yield from (hop.sheet for hop in case.hops.values() if hop.sheet is not None)


def leaves(case: Case) -> dict[str, tuple[Leaf, Domain]]:
    """What the case says or leaves open, with the widest it could be."""
    found = {
        leaf.path: (leaf, field.widest)
        for its in sheets(case)
        for name, field in its.form.fields.items()
        if (field.options or field.bounds)
        and name not in NUMBER | MARKS | STOOD_IN_FOR
        and its.form.kind != "bank"
        for leaf in [its.leaf(name)]
    }
    for kind in ("fuse", "breaker", "isolator", "rcd"):
        found[case.looked(kind).path] = case.looked(kind), Choice(frozenset(LOOKED))
    if not case.dc_volts.known or not any(part.leaf("nominal").known for part in case.with_role("storage")):
        found[case.dc_volts.path] = case.dc_volts, sheet("installation").fields["dc_volts"].widest
    return found


def changed(case: Case, new: dict[str, Leaf]) -> None:
    """Put new leaves into a case wherever the old ones of the same path stand."""
    for its in sheets(case):
        for name, leaf in its.leaves.items():
            its.leaves[name] = new.get(leaf.path, leaf)
    for key, hop in case.hops.items():
        size = new.get(hop.size.path, hop.size)
        length = new.get(hop.length.path, hop.length) if isinstance(hop.length, Leaf) else hop.length
        case.hops[key] = replace(hop, size=size, length=length)
    case.looked_for = {kind: new.get(leaf.path, leaf) for kind, leaf in case.looked_for.items()}
    case.dc_volts = new.get(case.dc_volts.path, case.dc_volts)


def review(case: Case) -> Answers:
    out = chain(rulebase(), gather(case), PlainMatcher)
    return {(said.rule.name, said.anchor.id): said.verdict for said in out.said}


def in_doubt(case: Case) -> set[tuple[str, str]]:
    """Verdicts open by a reading in doubt. It surprises beside what is known: with less known it may fit and count."""
    out = chain(rulebase(), gather(case), PlainMatcher)
    return {
        (said.rule.name, said.anchor.id)
        for said in out.said
        if any(leaf.doubt is not None for step in said.steps for leaf in step.needs)
    }


def standing(verdict: Verdict | None) -> str:
    """A verdict as the laws count it."""
    return (
        "not known" if verdict is Verdict.NOT_KNOWN else "wrong" if verdict is Verdict.WRONG else "not wrong"
    )


def opened(leaf: Leaf, widest: Domain, draw: random.Random) -> Leaf:
    """The leaf as if nobody had said anything."""
    return Leaf(leaf.path, widest, leaf.dimension, spot=leaf.spot)


def settled(leaf: Leaf, widest: Domain, draw: random.Random) -> Leaf:
    """The leaf as if somebody had found out: one point of what it could be."""
    domain: Domain
    if isinstance(leaf.domain, Choice):
        domain = Choice(frozenset({draw.choice(sorted(leaf.domain.options))}))
    else:
        point = draw.uniform(leaf.domain.lo, leaf.domain.hi)
        domain = Span(point, point)
    return Leaf(leaf.path, domain, leaf.dimension, Origin.MEASURED, known=True, spot=leaf.spot)


def only_noted(rule: Rule) -> bool:
    """Whether a rule speaks of something that is no fact of a case until somebody notes it."""
    types = [catalogue()[term.fact] for term in rule.terms]
    return any(each.noted or each.name in ("mark", "run_mark", "wired_in") for each in types)


WITNESSES = (
    "live_on_inverter", "live_on_shore", "live_on_generator", "shares_outlets", "bond_tested",
    "earth", "case_earth", "earth_ohm", "rcd", "status",
)  # fmt: skip
"""Fields in which somebody can contradict the drawing or another witness: a new one may well turn a verdict."""


def another_witness(path: str) -> bool:
    """Whether learning a leaf adds an inspection fact: how completely a kind was looked for, a second voice."""
    return path.startswith("looked_for.") or path.split(".")[-1] in WITNESSES


def read_too(case: Case) -> set[str]:
    """Fields of which a reading speaks as well: what is stated there is one of two witnesses who may disagree.

    Without the statement the reading counts by itself; where both are there and differ, neither settles it.
    """
    return {f"{part}.{says.field}" for taken in case.readings for part, says, _ in spoken(case, taken)}


NOTED = {rule.name for rule in rulebase() if only_noted(rule)}


def tries(path: Path, change: Change, known: bool) -> Iterator[tuple[str, str, str, str]]:
    """Change some known (or open) leaves at a time: rule, anchor, verdict before and after of what moved."""
    before = review(load(path))
    for seed in range(TRIES):
        draw, case = random.Random(f"{path.stem} {seed}"), load(path)
        witnesses = read_too(case)
        eligible = [
            each
            for each in leaves(case).values()
            if (each[0].domain != each[1]) == known and each[0].path not in witnesses
        ]
        if not known:
            eligible = [each for each in eligible if not another_witness(each[0].path)]
        chosen = [each for each in eligible if draw.random() < SHARE]
        changed(case, {leaf.path: change(leaf, widest, draw) for leaf, widest in chosen})
        after = review(case)
        doubted = in_doubt(load(path)) | in_doubt(case) if case.readings else set()
        for key in sorted((before.keys() | after.keys()) - doubted):
            one, other = standing(before.get(key)), standing(after.get(key))
            if one != other:
                yield *key, one, other


@each_case
def test_knowing_less_settles_nothing(path: Path) -> None:
    assert [move for move in tries(path, opened, known=True) if move[3] != "not known"] == []


@each_case
def test_knowing_more_turns_nothing_round(path: Path) -> None:
    """But for what stands in a case only where somebody noted it (a mark of heat): noting more adds facts."""
    moves = [move for move in tries(path, settled, known=False) if move[0] not in NOTED]
    assert [move for move in moves if move[2] != "not known"] == []


def test_most_rules_are_held_to_the_law() -> None:
    assert len(NOTED) < len(rulebase()) / 4


def test_the_laws_are_tried_on_moves_that_happen() -> None:
    """Were nothing ever to move, the laws above would hold of anything."""
    moves = [move for path in CASES[:4] for move in tries(path, opened, known=True)]
    assert len(moves) > 20


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
    assert review(shuffled(path)) == review(load(path))


@each_case
def test_both_engines_find_the_same_candidates_and_verdicts(path: Path) -> None:
    engines: list[MakeMatcher] = [PlainMatcher, DurableMatcher] if durable.available() else [PlainMatcher]
    facts = gather(load(path))
    first, *others = [picture(chain(rulebase(), facts, engine)) for engine in engines]
    assert all(other == first for other in others)
