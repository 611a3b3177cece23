"""Whether examples and cases try each rule, and whether questions can supply what it asks for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from ringout.case.case import Case
from ringout.case.form import form, sheet
from ringout.facts.catalogue import SHEETS, FactType, catalogue
from ringout.inference.chain import Said
from ringout.inference.grade import grade_of
from ringout.lint.base import Base, Written, compares
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.traced import leaves_of
from ringout.review.needs import need_of
from ringout.rulebase.condition import Attr, attributes
from ringout.rulebase.rule import Grade
from ringout.text.problem import Loc, Problem

NEEDED = ("wrong", "right", "not_known")
Given = tuple[str, str]
"""A fact type and an attribute of it."""


def exercised(base: Base) -> Iterator[Problem]:
    """Verdicts that no example shows, or gets; grades that none states; rules that no case has anything for."""
    seen = {said.rule.name for review in base.reviews for said in review.chained.said}
    for written in base.rules.values():
        rule = written.rule
        for verdict in NEEDED:
            if verdict not in {example.verdict for example in rule.examples}:
                word = verdict.replace("_", " ")
                yield written.wrong(("examples",), f"an example that comes out {word}", "none")
        yield from _examples(written)
        yield from _grades(written)
        if rule.name not in seen:
            expected = f"a case in which there is a {rule.anchor.fact} for it"
            yield written.wrong(("looks_at",), expected, f"none in {len(base.reviews)} cases")


def _examples(written: Written) -> Iterator[Problem]:
    for number, said in enumerate(written.shown):
        if not isinstance(said, Said):
            continue  # said already, among the names
        example, verdict = written.rule.examples[number], said.verdict.value.replace(" ", "_")
        if verdict != example.verdict:
            yield written.wrong(("examples", number, "verdict"), f"what comes out, {verdict}", example.verdict)
        elif written.rule.finding is not None and said.step is not None:
            grade = grade_of(written.rule.finding, said.step)
            if example.cls not in (None, grade.cls):
                yield written.wrong(("examples", number, "class"), f"class {grade.cls}", str(example.cls))
            if example.risk not in ("", grade.risk):
                yield written.wrong(("examples", number, "risk"), f"risk {grade.risk}", example.risk)


def _grades(written: Written) -> Iterator[Problem]:
    """Grades that no example states: the class, and of those of one class the risk too."""
    text = written.rule.finding
    if text is None or not text.graver:
        return
    places: list[tuple[Loc, Grade]] = [(("finding", "class"), text.grade)]
    places += [(("finding", "graver", n), grade) for n, (_, grade) in enumerate(text.graver)]
    classes = [grade.cls for _, grade in places]
    for loc, grade in places:
        alike = classes.count(grade.cls) > 1
        stated = [
            each
            for each in written.rule.examples
            if each.cls == grade.cls and (each.risk == grade.risk or not alike)
        ]
        if not stated:
            expected = f"an example that says 'class: {grade.cls}'" + (f" and 'risk: {grade.risk}'" if alike else "")
            yield written.wrong(loc, expected, "none")


def supplied(base: Base) -> Iterator[Problem]:
    """Comparisons of something that no question asks for and no reading gives."""
    rests = _rests_on(base)
    for written in base.rules.values():
        types = {term.alias: catalogue()[term.fact] for term in written.rule.terms}
        for loc, condition in written.conditions():
            for at, compare in compares(loc, condition):
                for attr in attributes(compare):
                    if not _can_be_asked(types[attr.alias], attr, rests):
                        found = f"none for {types[attr.alias].name}.{attr.name}"
                        yield written.wrong(at, "a question or a reading that can settle it", found)


def _can_be_asked(its: FactType, attr: Attr, rests: dict[Given, list[bool]]) -> bool:
    if attr.name in its.reads:
        forms = [form(kind) for kind in its.part_kinds] or [sheet(SHEETS[its.name])]
        return any(each.fields[attr.name].ask for each in forms if attr.name in each.fields)
    # What is computed from the drawing alone rests on no leaf; what no case holds is a complaint of its own.
    asked = rests.get((its.name, attr.name), [])
    return not asked or any(asked)


def _rests_on(base: Base) -> dict[Given, list[bool]]:
    """For each computed attribute, of every leaf behind it in some case, whether it can be asked or read."""
    found: dict[Given, list[bool]] = defaultdict(list)
    for review in base.reviews:
        for known in review.chained.facts.values():
            for name, value in known.fact.values.items():
                if name not in catalogue()[known.fact.type].reads:
                    asked = [_asks(review.case, leaf) for leaf in leaves_of(value) if leaf.origin is not Origin.TABLE]
                    found[known.fact.type, name] += asked
    return found


def _asks(case: Case, leaf: Leaf) -> bool:
    """Whether a question of a form leads to a leaf, or it was read."""
    return leaf.known or need_of(case, leaf) is not None
