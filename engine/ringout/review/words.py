"""Words for people: names of parts, and the templates of rules filled with values."""

from __future__ import annotations

from collections.abc import Mapping

from ringout.case.case import Case
from ringout.facts.fact import Fact
from ringout.quantity.leaf import WORKED_OUT, Leaf, Origin
from ringout.quantity.printed import as_printed, format_domain
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.telling import said_of
from ringout.quantity.traced import Value, domain_of, leaves_of
from ringout.rulebase.load import BRACES

SPEAKS_FOR_ITSELF = frozenset({"appliance", "dc_load", "busbars", "solar_panel", "outlet"})
"""Kinds whose parts are named after what they are; others get their kind before the name."""


SAYS = {
    Origin.LABEL: "the label says",
    Origin.MANUAL: "the manual says",
    Origin.DISPLAY: "the display says",
    Origin.SAID: "somebody said",
}
STATES = "the case states"
"""How what was stated is told, by its origin."""


def part_name(case: Case, name: str) -> str:
    """A part as a person would call it: "inverter", "mains charger chg", "kettle"."""
    plain = name.replace("_", " ")
    part = case.parts.get(name)
    if part is None:
        return plain
    kind = part.kind.replace("_", " ")
    if part.kind in SPEAKS_FOR_ITSELF or set(plain.split()) & set(kind.split()):
        return plain
    return f"{kind} {plain}"


def input_name(path: str, origin: str) -> str:
    """What a number rests on as a person would call it: what no case states is named in words, all else by its path."""
    words = path.removeprefix(WORKED_OUT).removeprefix("tables.").replace("_", " ").replace(".", ", ")
    if path.startswith(WORKED_OUT):
        return f"worked out for {words}"
    return f"table of {words}" if origin == Origin.TABLE else path


def shown(domain: Domain, dimension: str) -> str:
    """A domain in print: "13.2 A", "11 to 14 A", "AGM or gel", "2"."""
    if isinstance(domain, Choice):
        words = sorted(word.replace("_", " ") for word in domain.options)
        return " or ".join(words) if len(words) <= 4 else "not known"
    if dimension in ("count", ""):
        return _plain(domain)
    return format_domain(domain, dimension)


def as_shown(x: float, dimension: str) -> float:
    """A number as `shown` prints it, to three digits or so."""
    return float(f"{x:.3g}") if dimension in ("count", "") else as_printed(x, dimension)


def _plain(span: Span) -> str:
    return f"{span.lo:.3g}" if span.exact else f"{span.lo:.3g} to {span.hi:.3g}"


def value_shown(value: Value) -> str:
    """A value with its unit, as far as it is known; what was only said of it is marked so.

    What a reading in doubt contradicts is anything from what was stated to what was read.
    """
    in_doubt = {leaf.path for leaf in leaves_of(value) if leaf.doubt is not None}
    words = {path: word for path, word in said_of(value).items() if path not in in_doubt}
    return shown(domain_of(value, words), value.dimension) + (" (only said)" if words else "")


def both_told(leaf: Leaf) -> str:
    """What was stated and what was read of one thing: "the label says 200 Ah (line 12); read twice: 140 Ah (line 20)".

    Empty where only one of them was told.
    """
    parts = []
    if leaf.stated is not None and leaf.stated.told:
        was = leaf.stated.word or leaf.stated.domain
        parts.append(f"{SAYS.get(leaf.stated.origin, STATES)} {shown(was, leaf.dimension)}{_line(leaf.stated)}")
    if leaf.doubt is not None:
        parts.append(f"read, and in doubt until repeated: {leaf.doubt.text}{_line(leaf.doubt)}")
    elif leaf.read:
        parts += [leaf.note] if leaf.note else []
    return "; ".join(parts)


def _line(leaf: Leaf) -> str:
    return f" (line {leaf.spot.line})" if leaf.spot is not None else ""


def fill(template: str, facts: Mapping[str, Fact], case: Case) -> str:
    """A rule's template with names and values put in."""

    def one(alias: str, name: str) -> str:
        fact = facts[alias]
        if name in fact.keys:
            return part_name(case, fact.keys[name])
        if name in fact.known:
            return fact.known[name].replace("_", " ")
        return value_shown(fact.values[name]) if name in fact.values else "not known"

    if "{" not in template:
        return template
    return BRACES.sub(lambda match: one(match[1], match[2]), template)
