"""Limits: the numbers that conditions compare with, each with its source and basis (`rules/limits`)."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Annotated

from pydantic import Field as Key
from pydantic import RootModel

from ringout.kept import kept
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.notation import NotUnderstood, parse
from ringout.quantity.span import Span
from ringout.quantity.traced import Point, Traced, Value
from ringout.quantity.unit import DIMENSIONS
from ringout.record import record
from ringout.shipped import rules_root
from ringout.text.checked import Loc, OneOf, Strict, problem, validate
from ringout.text.document import Document, read
from ringout.text.problem import Problem, Unusable, did_you_mean

BASES = ("standard", "regulation", "guide", "maker", "practice", "memory")


@record(eq=False)
class Limit:
    """One limit, or a table of limits by a word (`leaves` then has one leaf a word, else one under "")."""

    name: str
    says: str
    dimension: str
    basis: str
    source: str
    leaves: Mapping[str, Leaf]

    def value(self, by: Value | None) -> Value:
        """The limit, looked up by a word that may still be one of several; all must be in the table."""
        if by is None:
            return self.leaves[""]
        return _by_leaf(self, by) if isinstance(by, Leaf) else self._by(by)

    def _by(self, by: Value) -> Traced:
        words = tuple(self.leaves)

        def pick(word: Point, *values: Point) -> Point:
            return values[words.index(str(word))]

        spans = [leaf.domain for leaf in self.leaves.values() if isinstance(leaf.domain, Span)]
        return Traced(
            pick,
            (by, *self.leaves.values()),
            name=self.says,
            dimension=self.dimension,
            formula=f"limit {self.name}, by word",
            source=self.source,
            # The word may rest on many open words itself: a bank of batteries whose labels nobody read.
            widest=Span(min(span.lo for span in spans), max(span.hi for span in spans)),
        )


@lru_cache(maxsize=64)
def _by_leaf(limit: Limit, by: Leaf) -> Traced:
    """What a limit is by one word of a case (its region), which it is compared with for every run there is."""
    return limit._by(by)


class _Line(Strict):
    says: str
    quantity: str
    value: str = ""
    by: dict[str, str] = Key(default_factory=dict)
    basis: Annotated[str, OneOf(BASES)]
    source: str


class _File(RootModel[dict[str, _Line]]):
    pass


@kept
def limits() -> dict[str, Limit]:
    """All limits by name. Raises Unusable for a faulty file."""
    found: dict[str, Limit] = {}
    problems: list[Problem] = []
    for path in sorted((rules_root() / "limits").glob("*.yaml")):
        document = read(path)
        for name, line in validate(document, _File).root.items():
            if name in found:
                problems.append(Problem(document.key_spot((name,)), name, "a new name", f"'{name}' again"))
            if line.quantity not in DIMENSIONS:
                hint = did_you_mean(line.quantity, DIMENSIONS)
                problems.append(problem(document, (name, "quantity"), "a dimension", line.quantity, hint))
                continue
            if bool(line.value) == bool(line.by):
                which = "both" if line.by else "neither"
                spot = document.key_spot((name,))
                problems.append(Problem(spot, name, "a 'value' or values 'by' word", which))
                continue
            texts = line.by or {"": line.value}
            leaves = {}
            for word, text in texts.items():
                loc: Loc = (name, "by", word) if line.by else (name, "value")
                try:
                    leaves[word] = _leaf(document, loc, name, word, line, text)
                except Unusable as fault:
                    problems += fault.problems
            found[name] = Limit(name, line.says, line.quantity, line.basis, line.source, leaves)
    if problems:
        raise Unusable(problems)
    return found


def _leaf(document: Document, loc: Loc, name: str, word: str, line: _Line, text: str) -> Leaf:
    try:
        written = parse(text, line.quantity)
    except NotUnderstood as fault:
        raise Unusable([problem(document, loc, fault.expected, text)]) from None
    if written is None:
        raise Unusable([problem(document, loc, "a value", text)])
    return Leaf(
        f"limits.{name}" + (f".{word}" if word else ""),
        written.domain,
        line.quantity,
        origin=Origin.TABLE,
        known=True,
        text=text,
        spot=document.spot(loc),
        source=f"{line.basis}: {line.source}",
    )
