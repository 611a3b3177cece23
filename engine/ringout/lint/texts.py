"""The words of the knowledge: lengths, sources of limits, and names that could be those of firms or models."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from pydantic import RootModel

from ringout.case.frame import REGIONS
from ringout.kept import remembered
from ringout.lint.base import Base
from ringout.quantity.unit import DIMENSIONS
from ringout.rulebase.rulefile import RATIONALE
from ringout.rulebase.shape import AREAS
from ringout.shipped import rules_root
from ringout.text.checked import Strict, Words, validate
from ringout.text.document import Document, read
from ringout.text.problem import Loc, Problem, dotted, shown

HONEST = ("common practice, no source", "from memory", "plain arithmetic")
"""What a source may say instead of naming a publication."""
PUBLISHED = re.compile(r"\([a-z][^()]+\)")
"""Kind and year (or place) in brackets, as every published source has them."""
WORD = re.compile(r"[A-Za-z][A-Za-z0-9]*")
BEGINS = re.compile(r"(?:^|[.:;!?¦\n])[\s\"']*$")
"""What stands before a word that begins a sentence."""


class _Names(Strict):
    standards: Words
    trade: Words
    places: Words
    warnings: Words


class _File(RootModel[_Names]):
    pass


def texts(base: Base) -> Iterator[Problem]:
    """Texts that are too long, limits without a source, words that look like a brand."""
    for written in base.rules.values():
        if len(written.rule.says) > RATIONALE:
            yield written.wrong(("says",), f"at most {RATIONALE} characters", str(len(written.rule.says)))
        if not written.rule.sources:
            yield written.wrong(("sources",), "at least one source", "none")
        for number, source in enumerate(written.rule.sources):
            if not source.strip():
                yield written.wrong(("sources", number), "a source", "nothing")
    for path in sorted((rules_root() / "limits").glob("*.yaml")):
        document = read(path)
        entries: Any = document.data
        for name, said in entries.items():
            if not _sourced(said["source"]):
                expected = "a title with (kind, year), '" + "', '".join(HONEST) + "'"
                yield Problem(document.spot((name, "source")), name, expected, shown(said["source"]))
    for written in base.rules.values():
        yield from _brands(written.document)
    for path in sorted(rules_root().rglob("*.yaml")):
        if path.parent.name not in AREAS:
            yield from _brands(read(path))


def _sourced(source: str) -> bool:
    return bool(PUBLISHED.search(source)) or any(each in source for each in HONEST)


def _brands(document: Document) -> Iterator[Problem]:
    known = _known()
    for loc, text in _leaves((), document.data):
        if " " not in text or document.file.endswith("names.yaml"):
            continue
        for match in WORD.finditer(text):
            word = match.group()
            first = word[1:].islower() and BEGINS.search(text[: match.start()])
            if not (word.islower() or len(word) == 1 or word in known or first):
                expected = "a plain word, or one of tables/names.yaml"
                yield Problem(document.inside(loc, match.start()), dotted(loc), expected, shown(word))


def _leaves(loc: Loc, data: object) -> Iterator[tuple[Loc, str]]:
    if isinstance(data, dict):
        for key, value in data.items():
            yield from _leaves((*loc, key), value)
    elif isinstance(data, list):
        for number, value in enumerate(data):
            yield from _leaves((*loc, number), value)
    elif isinstance(data, str):
        yield loc, data


@remembered
def _known() -> frozenset[str]:
    """Capitalised words of trade and standards: those listed, units, regions, and the words that forms offer."""
    root = rules_root()
    its = validate(read(root / "tables" / "names.yaml"), _File).root
    units = {word for each in DIMENSIONS.values() for word in WORD.findall(each.example + " " + each.words)}
    choices: set[str] = set()
    for folder in ("parts", "forms"):
        for path in (root / folder).glob("*.yaml"):
            written: Any = read(path).data
            for field in written.get("fields", {}).values():
                choices.update(field.get("choice", ()))
    return frozenset({*its.standards, *its.trade, *its.places, *its.warnings, *units, *choices, *REGIONS})
