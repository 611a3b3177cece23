"""Conditions as trees: comparisons of fact attributes with words, amounts and limits. No arithmetic, no code.

Read from YAML as ``{all: [...]}``, ``{any: [...]}``, ``{not: ...}``, ``{eq: [supply.away, yes]}``,
``{in: [bank.chemistry, [LFP, lithium_other]]}``, ``{gt: [cost.net, {limit: notable_drain}]}``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ringout.facts.catalogue import Attribute, FactType
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.notation import NotUnderstood, parse
from ringout.quantity.span import Span
from ringout.rulebase.limits import limits
from ringout.text.checked import Loc, problem
from ringout.text.document import Document
from ringout.text.problem import Problem, Unusable, did_you_mean

NUMERIC = ("gt", "ge", "lt", "le")
OPERATORS = ("eq", "ne", "in", *NUMERIC)


@dataclass(frozen=True, slots=True)
class Attr:
    """An attribute of the fact under an alias."""

    alias: str
    name: str


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount written in the rule itself, as an exact or ranged leaf."""

    leaf: Leaf


@dataclass(frozen=True, slots=True)
class LimitRef:
    """A limit by name, looked up by the word of an attribute where it is a table."""

    name: str
    by: Attr | None


@dataclass(frozen=True, slots=True)
class Compare:
    """``left op right``; for `eq`, `ne`, `in` with words, `words` holds them and `right` is None."""

    op: str
    left: Attr
    right: Attr | Amount | LimitRef | None = None
    words: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class AllOf:
    """Every one of them."""

    of: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class AnyOf:
    """At least one of them."""

    of: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Not:
    """Not so."""

    of: Condition


Condition = Compare | AllOf | AnyOf | Not


def attributes(condition: Condition) -> list[Attr]:
    """Every attribute a condition looks at, in reading order."""
    if isinstance(condition, AllOf | AnyOf):
        return [attr for each in condition.of for attr in attributes(each)]
    if isinstance(condition, Not):
        return attributes(condition.of)
    found = [condition.left]
    if isinstance(condition.right, Attr):
        found.append(condition.right)
    if isinstance(condition.right, LimitRef) and condition.right.by:
        found.append(condition.right.by)
    return found


class Reader:
    """Reads conditions of one rule and checks every name, word and dimension against the fact types."""

    def __init__(self, document: Document, aliases: Mapping[str, FactType]) -> None:
        self.document = document
        self.aliases = aliases

    def read(self, loc: Loc, raw: Any) -> Condition:
        """A condition, or Unusable with the first thing wrong in it."""
        if not isinstance(raw, dict) or len(raw) != 1:
            raise self.fault(loc, "one operator, such as {eq: [a.b, word]}", raw)
        ((op, body),) = raw.items()
        where = (*loc, op)
        if op in ("all", "any"):
            if not isinstance(body, list) or not body:
                raise self.fault(where, "a list of conditions", body or None)
            of = tuple(self.read((*where, n), each) for n, each in enumerate(body))
            return AllOf(of) if op == "all" else AnyOf(of)
        if op == "not":
            return Not(self.read(where, body))
        if op not in OPERATORS:
            known = ("all", "any", "not", *OPERATORS)
            raise self.fault(where, "one of " + ", ".join(known), op, did_you_mean(op, known))
        if not isinstance(body, list) or len(body) != 2:
            found = ", ".join(map(str, body)) if isinstance(body, list) else body
            raise self.fault(where, "two sides, such as [a.b, word]", found)
        left = self.attr((*where, 0), body[0])
        declared = self.declared(left)
        if op in NUMERIC:
            if not declared.dimension:
                raise self.fault((*where, 0), "a quantity", body[0])
            return Compare(op, left, self.right((*where, 1), body[1], declared))
        words = body[1] if isinstance(body[1], list) else [body[1]]
        if not words:
            raise self.fault((*where, 1), "one word or several", None)
        for n, word in enumerate(words):
            if declared.options and word not in declared.options:
                hint = did_you_mean(str(word), declared.options)
                at = (*where, 1, n) if isinstance(body[1], list) else (*where, 1)
                raise self.fault(at, "one of " + ", ".join(declared.options), word, hint)
        if not declared.options:
            raise self.fault((*where, 0), "an attribute of words", body[0])
        return Compare(op, left, words=frozenset(words))

    def attr(self, loc: Loc, raw: Any) -> Attr:
        """``alias.attribute`` that exists."""
        alias, _, name = str(raw).partition(".")
        if not isinstance(raw, str) or alias not in self.aliases:
            raise self.fault(loc, "alias.attribute", raw, did_you_mean(alias, self.aliases))
        known = self.aliases[alias].attributes
        if name not in known:
            expected = f"an attribute of {self.aliases[alias].name}"
            raise self.fault(loc, expected, raw, did_you_mean(name, known))
        return Attr(alias, name)

    def declared(self, attr: Attr) -> Attribute:
        """What the catalogue says of an attribute."""
        return self.aliases[attr.alias].attributes[attr.name]

    def right(self, loc: Loc, raw: Any, declared: Attribute) -> Attr | Amount | LimitRef:
        """The right side of a comparison of amounts, in the dimension of the left."""
        if isinstance(raw, dict):
            return self.limit(loc, raw, declared)
        if isinstance(raw, str) and raw.partition(".")[0] in self.aliases:
            attr = self.attr(loc, raw)
            if self.declared(attr).dimension != declared.dimension:
                raise self.fault(loc, f"a quantity like the left side ({declared.dimension})", raw)
            return attr
        spot = self.document.spot(loc)
        domain, unit = self.amount(loc, raw, declared.dimension), declared.dimension
        path = f"rule.{spot.line}.{spot.column}"
        return Amount(Leaf(path, domain, unit, Origin.TABLE, known=True, text=str(raw), spot=spot))

    def amount(self, loc: Loc, raw: Any, dimension: str) -> Span:
        """An amount written out; a count is a whole number."""
        if dimension == "count":
            if isinstance(raw, str) and raw.isascii() and raw.isdigit():
                return Span(float(raw), float(raw))
            raise self.fault(loc, "a whole number", raw)
        try:
            written = parse(str(raw), dimension)
        except NotUnderstood as fault:
            raise self.fault(loc, fault.expected, raw) from None
        if written is None:
            raise self.fault(loc, "an amount", raw)
        return written.domain

    def limit(self, loc: Loc, raw: dict[str, Any], declared: Attribute) -> LimitRef:
        """``{limit: name}`` or ``{limit: name, by: alias.attribute}``."""
        name = raw.get("limit")
        known = limits()
        if set(raw) - {"limit", "by"} or not isinstance(name, str):
            raise self.fault(loc, "{limit: NAME} or {limit: NAME, by: a.b}", ", ".join(map(str, raw)))
        if name not in known:
            raise self.fault((*loc, "limit"), "the name of a limit", name, did_you_mean(name, known))
        its = known[name]
        if its.dimension != declared.dimension:
            raise self.fault(loc, f"a limit of {declared.dimension}", f"{name}, of {its.dimension}")
        by = self.attr((*loc, "by"), raw["by"]) if "by" in raw else None
        if (by is None) != ("" in its.leaves):
            raise self.fault(loc, f"{name} " + ("without" if "" in its.leaves else "with") + " a 'by'", raw)
        if by is not None:
            if not self.declared(by).options:
                raise self.fault((*loc, "by"), "an attribute of words", raw["by"])
            missing = set(self.declared(by).options) - set(its.leaves)
            if missing:
                raise self.fault(loc, f"a value of {name} for each of {', '.join(sorted(missing))}", "none")
        return LimitRef(name, by)

    def fault(self, loc: Loc, expected: str, found: Any, hint: str = "") -> Unusable:
        """The one thing wrong, with its place."""
        made: Problem = problem(self.document, loc, expected, found, hint)
        return Unusable([made])
