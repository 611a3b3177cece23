"""Statements under a form: a part's, a place's, the habits; each read as a leaf, words, or names of parts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from ringout.case.case import Part, Sheet
from ringout.case.form import Form, form, part_kinds
from ringout.case.statement import NotAStatement, leaf
from ringout.quantity.leaf import Origin
from ringout.text.checked import problem, unknown_key
from ringout.text.document import Document
from ringout.text.problem import Loc, Problem, did_you_mean, dotted, shown

NOT_FOR_PARTS = ("habits", "surroundings", "mains", "installation", "distances", "readings", "looked_for")
"""Names with a meaning of their own in front of a field: `mains.rcd` is never the field of a part."""

_PART_NAME = re.compile("[A-Za-z][A-Za-z0-9_]*")
_NAME = re.compile(r"[^\s,]+")


def read_sheet(
    document: Document,
    name: str,
    its: Form,
    loc: Loc,
    raw: Mapping[str, object],
    problems: list[Problem],
    default: Origin = Origin.SEEN,
) -> Sheet:
    """The statements at a place, read under a form. What cannot be read is a problem and stays open."""
    made = Sheet(name, its, document.key_spot(loc))
    for key, value in raw.items():
        where = (*loc, key)
        field = its.fields.get(key)
        if field is None:
            problems.append(unknown_key(document, where, its.fields))
        elif field.free_text:
            if isinstance(value, str):
                made.texts[key] = value
            else:
                problems.append(problem(document, where, "words", value))
        elif field.parts:
            if isinstance(value, str) or (isinstance(value, list) and all(isinstance(n, str) for n in value)):
                made.names[key] = tuple(name for name, _, _ in names_at(document, where))
            else:
                problems.append(problem(document, where, "names of parts, such as b1 b2", value))
        else:
            try:
                made.leaves[key] = leaf(document, where, value, field, f"{name}.{key}", default)
            except NotAStatement as fault:
                problems.append(fault.problem)
    return made


def read_part(document: Document, name: str, raw: Mapping[str, Any], problems: list[Problem]) -> Part | None:
    """The part of that name; None, with its problems noted, where it cannot be told what it is.

    What is stated of a part that is itself only supposed counts as supposed.
    """
    loc: Loc = ("parts", name)
    if not _PART_NAME.fullmatch(name):
        expected = "a part name of letters, digits and _, such as b1"
        problems.append(Problem(document.key_spot(loc), dotted(loc), expected, shown(name)))
        return None
    if name in NOT_FOR_PARTS:
        expected = "a part name without a meaning of its own"
        problems.append(Problem(document.key_spot(loc), dotted(loc), expected, shown(name)))
        return None
    kind = raw.get("kind")
    if not isinstance(kind, str):
        found = "nothing of that name" if "kind" not in raw else shown(kind)
        problems.append(Problem(document.spot(loc), dotted(loc), "'kind: ...' with the kind of part", found))
        return None
    if kind not in part_kinds():
        hint = did_you_mean(kind, part_kinds()) or "`ringout check --kinds` lists them"
        problems.append(problem(document, (*loc, "kind"), "a kind of part", kind, hint))
        return None
    supposed = raw.get("supposed", "no")
    if supposed not in ("yes", "no"):
        problems.append(problem(document, (*loc, "supposed"), "yes or no", supposed))
    default = Origin.SUPPOSED if supposed == "yes" else Origin.SEEN
    fields = {key: value for key, value in raw.items() if key not in ("kind", "supposed")}
    its = read_sheet(document, name, form(kind), loc, fields, problems, default)
    return Part(
        name,
        its.form,
        its.spot,
        its.leaves,
        its.texts,
        its.names,
        supposed=supposed == "yes",
        place=its.texts.get("place", ""),
    )


def names_at(document: Document, loc: Loc) -> list[tuple[str, Loc, int]]:
    """Names written as one text ("b1 b2") or as a list, each with its place and its offset there."""
    raw = document.at(loc)
    if isinstance(raw, list):
        return [(name, (*loc, number), 0) for number, name in enumerate(raw)]
    return [(match.group(), loc, match.start()) for match in _NAME.finditer(raw)]
