"""Runs the examples that a rule carries: facts written out, and the verdict the rule must give on them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ringout.facts.catalogue import Attribute, FactType, catalogue
from ringout.facts.fact import Fact
from ringout.inference.chain import MakeMatcher, Said, chain
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.notation import NotUnderstood, parse
from ringout.quantity.span import Choice, Domain, Span
from ringout.rulebase.rule import Example, Rule

UNSURE = "sure"
"""A concluded fact with ``sure: no`` stands in an example as one whose truth is not known."""


class BadExample(ValueError):
    """An example says something that its fact type does not allow."""


def run(rule: Rule, example: Example, make: MakeMatcher) -> Said:
    """The verdict of the rule alone on the example's facts. Raises BadExample."""
    if not example.facts:
        raise BadExample(f"{rule.name}: '{example.says}' holds no facts")
    facts = facts_of(example)
    found = [
        said for said in chain([replace(rule, level=1)], facts, make).said if said.anchor.id == facts[0].id
    ]
    if not found:
        raise BadExample(f"{rule.name}: '{example.says}' holds no {rule.anchor.fact} as its first fact")
    return found[0]


def facts_of(example: Example) -> list[Fact]:
    """The facts of an example, the one that is judged first. Raises BadExample."""
    return [_fact(catalogue()[name], said) for name, said in example.facts]


def _fact(its: FactType, said: Mapping[str, str]) -> Fact:
    keys = {key: said[key] for key in its.keys}
    known = {key: said[key] for key in its.known if key in said}
    id = f"{its.name}({', '.join(keys.values())})"
    values = {
        name: _leaf(id, attribute, said.get(name, "unknown")) for name, attribute in its.attributes.items()
    }
    standing: tuple[Leaf, ...] = ()
    if said.get(UNSURE) == "no":
        standing = (Leaf(f"{id}.holds", Choice(frozenset({"yes", "no"}))),)
    return Fact(its.name, keys, values, known, standing)


def _leaf(id: str, attribute: Attribute, text: str) -> Leaf:
    domain = _domain(attribute, text)
    wide: Domain = Choice(frozenset(attribute.options)) if attribute.options else Span(-1e9, 1e9)
    return Leaf(
        f"{id}.{attribute.name}",
        domain if domain is not None else wide,
        attribute.dimension,
        Origin.SEEN if domain is not None else Origin.NOT_STATED,
        known=domain is not None,
        text=text,
    )


def _domain(attribute: Attribute, text: str) -> Domain | None:
    if text == "unknown":
        return None
    if attribute.options:
        words = {word.strip() for word in text.split("|")}
        if not words <= set(attribute.options):
            raise BadExample(f"{attribute.name}: expected {', '.join(attribute.options)}, found '{text}'")
        return Choice(frozenset(words))
    if attribute.dimension == "count":
        low, _, high = text.partition("..")
        if not (low.isdigit() and (high or low).isdigit() and int(low) <= int(high or low)):
            raise BadExample(f"{attribute.name}: expected a whole number, such as 2 or 2..4, found '{text}'")
        return Span(float(low), float(high or low))
    try:
        written = parse(text, attribute.dimension)
    except NotUnderstood as fault:
        raise BadExample(f"{attribute.name}: {fault}") from None
    return None if written is None else written.domain
