"""Matching in plain Python: the reference for the durable one, and the fallback where it is missing.

Each term is compiled to a lookup: the keys that its literals and joins name make an index over the records of
its type, and the texts they must equal make the entry looked up. Indexes are built once per match and shared
by all terms that ask for the same type and keys.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ringout.inference.pattern import Candidate, Pattern, Record, check_question, checked_levels

Index = dict[tuple[str, ...], list[Record]]
Row = tuple[Record, ...]
Wanted = tuple[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class _Lookup:
    """A compiled term: in the index of that number look up its literals, then texts of earlier records."""

    index: int
    literals: tuple[str, ...]
    joined: tuple[tuple[int, str], ...]

    def grown(self, rows: list[Row], index: Index) -> list[Row]:
        """Every row with each record that may stand after it."""
        if not self.joined:
            partners = index.get(self.literals, ())
            return [(*row, record) for row in rows for record in partners]
        grown: list[Row] = []
        for row in rows:
            texts = [row[position].keys.get(key) for position, key in self.joined]
            # A record without the key is in no index under None, so what lacks it meets nothing.
            for record in index.get((*self.literals, *texts), ()):  # type: ignore[arg-type]
                grown.append((*row, record))
        return grown


@dataclass(frozen=True, slots=True)
class _Level:
    """The compiled rules of a level, each with the fact types it cannot do without, and the indexes they share."""

    rules: list[tuple[str, frozenset[str], list[_Lookup]]]
    indexes: list[Wanted]


class PlainMatcher:
    """Matches by hash joins. Reusable: nothing of one match is kept for the next."""

    name = "plain"

    def __init__(self, levels: Iterable[Iterable[Pattern]]) -> None:
        """Compile the patterns of each level. Raises PatternError if a rule stands twice in a level."""
        self._levels = [_compiled(patterns) for patterns in checked_levels(levels)]

    def match(self, level: int, records: Sequence[Record]) -> list[Candidate]:
        """Return the candidates of `level`, as Matcher.match promises."""
        check_question(level, len(self._levels), records)
        by_fact: dict[str, list[Record]] = {}
        for record in records:
            by_fact.setdefault(record.fact, []).append(record)
        wanted = self._levels[level].indexes
        indexes: list[Index | None] = [None] * len(wanted)
        candidates: list[Candidate] = []
        for rule, facts, lookups in self._levels[level].rules:
            if not facts <= by_fact.keys():
                continue
            rows: list[Row] = [()]
            for lookup in lookups:
                index = indexes[lookup.index]
                if index is None:
                    fact, keys = wanted[lookup.index]
                    index = indexes[lookup.index] = _indexed(by_fact[fact], keys)
                rows = lookup.grown(rows, index)
                if not rows:
                    break
            candidates += [(rule, tuple([record.id for record in row])) for row in rows]
        return sorted(candidates)


def _compiled(patterns: Iterable[Pattern]) -> _Level:
    numbers: dict[Wanted, int] = {}
    rules = []
    for pattern in patterns:
        position = {term.alias: number for number, term in enumerate(pattern.terms)}
        lookups = []
        for term in pattern.terms:
            keys = (*(key for key, _ in term.literals), *(key for key, _, _ in term.joins))
            lookups.append(
                _Lookup(
                    index=numbers.setdefault((term.fact, keys), len(numbers)),
                    literals=tuple(text for _, text in term.literals),
                    joined=tuple((position[alias], key) for _, alias, key in term.joins),
                )
            )
        rules.append((pattern.rule, frozenset(term.fact for term in pattern.terms), lookups))
    return _Level(rules, list(numbers))


def _indexed(records: list[Record], keys: tuple[str, ...]) -> Index:
    """Group the records by their texts under `keys`, without those that lack one: they meet nothing."""
    if not keys:
        return {(): records}
    index: Index = {}
    for record in records:
        texts = [record.keys.get(key) for key in keys]
        if None not in texts:
            index.setdefault(tuple(texts), []).append(record)  # type: ignore[arg-type]
    return index
