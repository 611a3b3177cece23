"""The catalogue of facts, from `rules/facts.yaml`: keys, attributes with unit or words, who computes them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pydantic import Field as Key
from pydantic import RootModel

from ringout.case.form import Field, Form, form, part_kinds, sheet
from ringout.kept import kept, remembered
from ringout.quantity.unit import DIMENSIONS
from ringout.shipped import rules_root
from ringout.text.checked import Strict, Words, problem, validate
from ringout.text.document import read
from ringout.text.problem import Problem, Unusable, did_you_mean


@dataclass(frozen=True, slots=True)
class Attribute:
    """What a fact says beside its keys: a quantity of a dimension, or one of some words."""

    name: str
    dimension: str = ""
    options: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FactType:
    """One kind of fact. `known` attributes are settled words: they go to the engine beside the keys."""

    name: str
    says: str
    keys: tuple[str, ...]
    known: Mapping[str, tuple[str, ...]]
    attributes: Mapping[str, Attribute]
    reads: tuple[str, ...]
    roles: tuple[str, ...]
    kind: str
    by: str
    noted: str = ""
    """The field that somebody must have stated for there to be such a fact; empty where there always is."""

    @property
    def concluded(self) -> bool:
        """Whether rules conclude it."""
        return self.by == "rules"

    @property
    def part_kinds(self) -> tuple[str, ...]:
        """The kinds of part that such a fact stands for, empty where it stands for none."""
        if self.kind:
            return (self.kind,)
        return _kinds_with(self.roles)


@remembered
def _kinds_with(roles: tuple[str, ...]) -> tuple[str, ...]:
    """The kinds of part that act in one of the roles."""
    return tuple(kind for kind in part_kinds() if form(kind).roles.intersection(roles))


SHEETS = {"habits": "habits", "surroundings": "surroundings", "danger_signs": "habits"}
"""Fact types that read a sheet of the whole installation, and which."""


class _Value(Strict):
    quantity: str = ""
    choice: Words = ()


class _Line(Strict):
    says: str
    keys: Words
    by: str
    known: dict[str, Words] = Key(default_factory=dict)
    reads: Words = ()
    values: dict[str, _Value] = Key(default_factory=dict)
    role: str = ""
    kind: str = ""
    noted: str = ""


class _File(RootModel[dict[str, _Line]]):
    pass


@kept
def catalogue() -> dict[str, FactType]:
    """All fact types by name. Raises Unusable for a faulty catalogue."""
    document = read(rules_root() / "facts.yaml")
    lines = validate(document, _File).root
    problems: list[Problem] = []
    found = {}
    for name, line in lines.items():
        attributes = {}
        for key, value in line.values.items():
            if value.quantity and value.quantity not in (*DIMENSIONS, "count"):
                hint = did_you_mean(value.quantity, DIMENSIONS)
                loc = (name, "values", key, "quantity")
                problems.append(problem(document, loc, "a dimension", value.quantity, hint))
            attributes[key] = Attribute(key, value.quantity, value.choice)
        roles = tuple(each.strip() for each in line.role.split("|") if each.strip())
        made = FactType(
            name, line.says, line.keys, dict(line.known), attributes, line.reads, roles, line.kind, line.by,
            line.noted,
        )
        for field in line.reads:
            declared = _field(made, field)
            if declared is None:
                problems.append(problem(document, (name, "reads"), "a field of its form", field))
            else:
                attributes[field] = Attribute(field, declared.dimension, declared.options)
        if line.noted and line.noted not in line.reads:
            hint = did_you_mean(line.noted, line.reads)
            problems.append(problem(document, (name, "noted"), "one of what it reads", line.noted, hint))
        found[name] = made
    if problems:
        raise Unusable(problems)
    return found


def _field(its: FactType, name: str) -> Field | None:
    """The declaration of a field that a fact reads; words of several kinds of part are put together."""
    forms: list[Form]
    if its.roles or its.kind:
        forms = [form(kind) for kind in its.part_kinds]
    elif its.name in SHEETS:
        forms = [sheet(SHEETS[its.name])]
    else:
        return None
    fields = [each.fields[name] for each in forms if name in each.fields]
    if not fields:
        return None
    options = tuple(dict.fromkeys(word for field in fields for word in field.options))
    return Field(name, dimension=fields[0].dimension, options=options, bounds=fields[0].bounds)
