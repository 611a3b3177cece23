"""Names of parts inside a case: each must exist, and parts declared alike share what their make tells."""

from __future__ import annotations

from ringout.case.case import Case, Part
from ringout.case.sheets import names_at
from ringout.text.checked import problem
from ringout.text.problem import Loc, Problem, did_you_mean

OF_THE_MAKE = ("label", "manual")
"""Where those fields are read that parts of one make have in common; the rest each part has for itself."""


def check_references(case: Case, problems: list[Problem]) -> None:
    """Names of parts inside parts must exist; places may stay mere words until they are described."""
    for part in case.parts.values():
        for key in part.names:
            wanted = part.form.fields[key].parts
            for name, loc, offset in names_at(case.document, ("parts", part.name, key)):
                other = case.parts.get(name)
                if other is None:
                    _missing(case, name, loc, offset, problems)
                elif wanted != "any" and other.kind != wanted:
                    expected = f"the name of a part of kind {wanted}, not {other.kind}"
                    problems.append(problem(case.document, loc, expected, name, offset=offset))


def share_alike(case: Case, problems: list[Problem]) -> None:
    """Give parts declared alike one leaf for every field that a label or manual of their make tells.

    What was seen, asked or measured of one of them says nothing of the others.
    """
    for number in range(len(case.frame.alike)):
        loc: Loc = ("alike", number)
        named = names_at(case.document, loc)
        for name, where, offset in named:
            if name not in case.parts:
                _missing(case, name, where, offset, problems)
        names = list(dict.fromkeys(name for name, _, _ in named))
        group = [case.parts[name] for name in names if name in case.parts]
        if len(names) < 2:
            hint = "a line for each group: - b1 b2"
            problems.append(problem(case.document, loc, "two parts or more", " ".join(names), hint))
        elif len({part.kind for part in group}) > 1:
            problems.append(problem(case.document, loc, "parts of one kind", " ".join(names)))
        elif group:
            _share(case, loc, group, problems)


def _share(case: Case, loc: Loc, group: list[Part], problems: list[Problem]) -> None:
    for key, field in group[0].form.fields.items():
        if field.where not in OF_THE_MAKE or field.free_text or field.parts:
            continue
        written = [part for part in group if key in part.leaves]
        stated = [part for part in written if part.leaves[key].known]
        if len({part.leaves[key].domain for part in stated}) > 1:
            both = " and ".join(f"{part.name} {part.leaves[key].text}" for part in stated[:2])
            expected = f"the same {key} in parts that are alike"
            problems.append(problem(case.document, loc, expected, both))
        else:
            shared = (stated or written or group)[0].leaf(key)
            for part in group:
                part.leaves[key] = shared


def _missing(case: Case, name: str, loc: Loc, offset: int, problems: list[Problem]) -> None:
    if name not in case.frame.parts:  # else the part itself could not be read: said already
        hint = did_you_mean(name, case.frame.parts)
        problems.append(problem(case.document, loc, "the name of a part", name, hint, offset))
