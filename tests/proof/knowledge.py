"""Rules, limits and the catalogue of facts as their raw YAML says them; no code of the program is used."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from written import plain, span

RULES = Path(__file__).resolve().parents[2] / "rules"
AREAS = ("ac_dc_boundary", "charger_supply", "placement", "cable_uniformity", "charge_profile", "protection", "shock",
         "loads")  # fmt: skip


@dataclass(frozen=True)
class Term:
    """A fact asked for; `where` is key -> word or "alias.key"."""

    alias: str
    fact: str
    where: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Raw:
    """A rule as written."""

    name: str
    terms: tuple[Term, ...]
    given: Any
    when: Any
    unless: Any
    concludes: dict[str, Any] | None


@cache
def rules() -> dict[str, Raw]:
    """Every rule by name."""
    found = {}
    for area in AREAS:
        for path in sorted((RULES / area).glob("*.yaml")):
            raw = plain(path)
            ((alias, fact),) = raw["looks_at"].items()
            terms = [Term(alias, fact)]
            terms += [Term(name, its["fact"], its.get("where", {})) for name, its in raw.get("with", {}).items()]
            found[raw["rule"]] = Raw(
                raw["rule"], tuple(terms), raw.get("given"), raw.get("when"), raw.get("unless"), raw.get("concludes")
            )
    return found


@cache
def levels() -> dict[str, int]:
    """The level of each rule: one above the highest whose conclusion it reads. A circle is a RecursionError."""
    makers: dict[str, list[str]] = {}
    for name, rule in rules().items():
        if rule.concludes:
            makers.setdefault(rule.concludes["fact"], []).append(name)

    @cache
    def level(name: str) -> int:
        below = [level(other) for term in rules()[name].terms for other in makers.get(term.fact, ())]
        return 1 + max(below, default=0)

    return {name: level(name) for name in rules()}


@cache
def limits() -> dict[str, dict[str, tuple[float, float]]]:
    """Limit -> word ("" where it has none) -> range, in inside units."""
    found = {}
    for path in sorted((RULES / "limits").glob("*.yaml")):
        for name, line in plain(path).items():
            texts = line.get("by") or {"": line["value"]}
            found[name] = {word: span(text, line["quantity"]) for word, text in texts.items()}
    return found


@cache
def facts() -> dict[str, dict[str, Any]]:
    """The catalogue as written."""
    return plain(RULES / "facts.yaml")


@cache
def form_field(kind: str, name: str) -> dict[str, Any] | None:
    """The declaration of a field of a kind of part, or of a sheet."""
    for path in (RULES / "parts" / f"{kind}.yaml", RULES / "forms" / f"{kind}.yaml", RULES / "parts" / "any.yaml"):
        if path.exists():
            fields = plain(path).get("fields", {})
            if name in fields:
                return fields[name]
    return None


@cache
def dimension(fact: str, attribute: str) -> str:
    """The dimension of an attribute of a fact, empty for words: from the catalogue, else from the forms."""
    its = facts()[fact]
    declared = its.get("values", {}).get(attribute)
    if declared is not None:
        return declared.get("quantity", "")
    roles = {each.strip() for each in its.get("role", "").split("|") if each.strip()}
    paths = [RULES / "parts" / f"{its['kind']}.yaml"] if "kind" in its else sorted((RULES / "parts").glob("*.yaml"))
    if fact in ("habits", "surroundings"):
        paths = [RULES / "forms" / f"{fact}.yaml"]
    for path in paths:
        raw = plain(path)
        if fact in ("habits", "surroundings") or "kind" in its or roles & set(raw.get("roles", ())):
            declared = form_field(path.stem, attribute)
            if declared is not None:
                return declared.get("quantity", "")
    raise KeyError(f"{fact}.{attribute}")
