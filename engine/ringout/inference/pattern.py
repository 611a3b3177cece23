"""What the matching engines are asked, and what they answer.

A pattern is the joining part of a rule: which records may stand together, and in what order. It asks only
whether texts are equal. Everything with a range, a set or an unknown in it is judged afterwards, so that the
engines are never asked a question that has a third answer.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from ringout.record import record

MAX_TERMS = 16
"""The most terms one rule may have: beyond it the durable engine is not known to be right."""

Candidate = tuple[str, tuple[str, ...]]
"""A rule and the ids of the records that fill its terms, in the order of the terms."""

Levels = tuple[tuple["Pattern", ...], ...]


class PatternError(ValueError):
    """A pattern, or a set of records, that the engines refuse because its answer could not be trusted."""


@dataclass(frozen=True, slots=True)
class Term:
    """One record a rule asks for: its fact type, the texts it must hold, the earlier records it must meet.

    A literal is (own key, text). A join is (own key, alias of an earlier term, that term's key). A record
    without the key meets neither. A term without joins stands beside every combination of earlier terms.
    """

    alias: str
    fact: str
    literals: tuple[tuple[str, str], ...] = ()
    joins: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Pattern:
    """The terms of one rule, the anchor first. One record may fill two terms.

    Raises PatternError if it has no term or more than MAX_TERMS, if an alias is used twice, or if a join
    points anywhere but to an earlier term.
    """

    rule: str
    terms: tuple[Term, ...]

    def __post_init__(self) -> None:
        if not 1 <= len(self.terms) <= MAX_TERMS:
            raise PatternError(
                f"rule {self.rule!r}: found {len(self.terms)} terms, expected 1 to {MAX_TERMS}"
            )
        earlier: list[str] = []
        for term in self.terms:
            for key, alias, _ in term.joins:
                if alias not in earlier:
                    raise PatternError(
                        f"rule {self.rule!r}, term {term.alias!r}: key {key!r} joins to {alias!r}, "
                        f"expected an earlier term: {', '.join(map(repr, earlier)) or 'there is none'}"
                    )
            if term.alias in earlier:
                raise PatternError(f"rule {self.rule!r}: found two terms named {term.alias!r}, expected one")
            earlier.append(term.alias)


@record()
class Record:
    """One fact as the engines see it: an id, a fact type, its keys and known texts. The unknown stays out."""

    id: str
    fact: str
    keys: Mapping[str, str]


class Matcher(Protocol):
    """An engine that finds every way in which the records fill the terms of the rules of one level."""

    name: str

    def match(self, level: int, records: Sequence[Record]) -> list[Candidate]:
        """Return all candidates of `level` (0 is the first), sorted, each once, in any order of records.

        Raises PatternError if there is no such level or if two records share an id.
        """


def checked_levels(levels: Iterable[Iterable[Pattern]]) -> Levels:
    """Return the levels as tuples.

    Raises PatternError if a rule stands twice in one level: its candidates would mix.
    """
    frozen = tuple(tuple(patterns) for patterns in levels)
    for number, patterns in enumerate(frozen):
        seen: set[str] = set()
        for pattern in patterns:
            if pattern.rule in seen:
                raise PatternError(f"level {number}: found rule {pattern.rule!r} twice, expected it once")
            seen.add(pattern.rule)
    return frozen


def check_question(level: int, levels: int, records: Iterable[Record]) -> None:
    """Raise PatternError unless 0 <= `level` < `levels` and every record has an id of its own."""
    if not 0 <= level < levels:
        raise PatternError(f"found level {level}, expected one of the {levels} levels counted from 0")
    ids = [record.id for record in records]
    if len(set(ids)) < len(ids):
        twice = next(id for number, id in enumerate(ids) if id in ids[:number])
        raise PatternError(f"found two records with the id {twice!r}, expected one")
