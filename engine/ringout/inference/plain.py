"""Matching in plain Python: the reference for the durable one, and the fallback where it is missing.

Each term is compiled to a lookup: the keys that its literals and joins name make an index over the records of
its type, and the texts they must equal make the entry looked up. Indexes are built once per match and shared
by all terms that ask for the same type and keys.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ringout.inference.pattern import Candidate, Pattern, Record, Term, check_question, checked_levels

Index = dict[tuple[str, ...], list[Record]]
Row = tuple[Record, ...]


@dataclass(frozen=True, slots=True)
class _Lookup:
    """A compiled term: in the index of (fact, keys) look up its literals, then texts of earlier records."""

    fact: str
    keys: tuple[str, ...]
    literals: tuple[str, ...]
    joined: tuple[tuple[int, str], ...]

    def partners(self, row: Row, index: Index) -> Sequence[Record]:
        """Return the records that may stand after `row`."""
        wanted = self.literals
        for position, key in self.joined:
            text = row[position].keys.get(key)
            if text is None:
                return ()
            wanted += (text,)
        return index.get(wanted, ())


class PlainMatcher:
    """Matches by hash joins. Reusable: nothing of one match is kept for the next."""

    name = "plain"

    def __init__(self, levels: Iterable[Iterable[Pattern]]) -> None:
        """Compile the patterns of each level. Raises PatternError if a rule stands twice in a level."""
        self._levels = [
            [(pattern.rule, _compiled(pattern.terms)) for pattern in patterns]
            for patterns in checked_levels(levels)
        ]

    def match(self, level: int, records: Sequence[Record]) -> list[Candidate]:
        """Return the candidates of `level`, as Matcher.match promises."""
        check_question(level, len(self._levels), records)
        by_fact: dict[str, list[Record]] = {}
        for record in records:
            by_fact.setdefault(record.fact, []).append(record)
        indexes: dict[tuple[str, tuple[str, ...]], Index] = {}
        candidates: list[Candidate] = []
        for rule, lookups in self._levels[level]:
            rows: list[Row] = [()]
            for lookup in lookups:
                wanted = (lookup.fact, lookup.keys)
                index = indexes.get(wanted)
                if index is None:
                    index = indexes[wanted] = _indexed(by_fact.get(lookup.fact, ()), lookup.keys)
                rows = [(*row, record) for row in rows for record in lookup.partners(row, index)]
                if not rows:
                    break
            candidates += [(rule, tuple([record.id for record in row])) for row in rows]
        return sorted(candidates)


def _compiled(terms: Sequence[Term]) -> list[_Lookup]:
    position = {term.alias: number for number, term in enumerate(terms)}
    return [
        _Lookup(
            fact=term.fact,
            keys=(*(key for key, _ in term.literals), *(key for key, _, _ in term.joins)),
            literals=tuple(text for _, text in term.literals),
            joined=tuple((position[alias], key) for _, alias, key in term.joins),
        )
        for term in terms
    ]


def _indexed(records: Iterable[Record], keys: tuple[str, ...]) -> Index:
    """Group the records by their texts under `keys`, without those that lack one: they meet nothing."""
    index: Index = {}
    for record in records:
        if all(key in record.keys for key in keys):
            index.setdefault(tuple([record.keys[key] for key in keys]), []).append(record)
    return index
