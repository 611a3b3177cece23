"""Names and words that the reader of rules does not look up: in the catalogue, in examples, in conclusions."""

from __future__ import annotations

from collections.abc import Iterator

from ringout.case.form import form, part_kinds, sheet
from ringout.facts.catalogue import catalogue
from ringout.inference.examples import BadExample
from ringout.lint.base import Base, Written
from ringout.shipped import rules_root
from ringout.text.checked import problem
from ringout.text.document import read
from ringout.text.problem import Problem, did_you_mean, shown


def names(base: Base) -> Iterator[Problem]:
    """Roles and kinds of the catalogue, symptoms of rules, and what examples say."""
    yield from _catalogue()
    for written in base.rules.values():
        yield from _symptoms(written)
        for number, said in enumerate(written.shown):
            if isinstance(said, BadExample):
                found = str(said).removeprefix(f"{written.rule.name}: ")
                yield written.wrong(("examples", number), "an example that can be judged", f"this: {found}")


def _catalogue() -> Iterator[Problem]:
    roles = {role for kind in part_kinds() for role in form(kind).roles}
    document = read(rules_root() / "facts.yaml")
    for name, its in catalogue().items():
        for role in its.roles:
            if role not in roles:
                expected = "a role of some kind of part"
                yield problem(document, (name, "role"), expected, role, did_you_mean(role, roles))
        if its.kind and its.kind not in part_kinds():
            hint = did_you_mean(its.kind, part_kinds())
            yield problem(document, (name, "kind"), "a kind of part", its.kind, hint)


def _symptoms(written: Written) -> Iterator[Problem]:
    symptoms = sheet("complaint").fields["symptom"].options
    for term in written.rule.terms:
        word = term.words.get("symptom", "")
        if term.fact == "complaint" and word and word not in symptoms:
            loc = ("with", term.alias, "where", "symptom")
            hint = did_you_mean(word, symptoms)
            yield written.wrong(loc, "a known symptom", shown(word) + (f"; {hint}" if hint else ""))
