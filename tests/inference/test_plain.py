"""The plain engine: each promise of a match by hand, then all at once against its definition."""

import random
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.inference.pattern import Candidate, Pattern, PatternError, Record, Term
from ringout.inference.plain import PlainMatcher

HULL = [
    Record("bank", "battery", {"name": "bank", "place": "bilge"}),
    Record("main", "fuse", {"name": "main", "place": "bilge", "state": "fitted"}),
    Record("spare", "fuse", {"name": "spare", "place": "locker"}),
    Record("feed", "cable", {"from": "bank", "fuse": "main", "back": "bank"}),
    Record("tail", "cable", {"from": "bank", "fuse": "spare", "back": "hut"}),
    Record("loose", "cable", {"from": "bank"}),
]
BATTERY = Term("battery", "battery")
FED = Term("cable", "cable", (), (("from", "battery", "name"),))


def found(*terms: Term, records: list[Record] = HULL) -> list[tuple[str, ...]]:
    candidates = PlainMatcher([[Pattern("rule", terms)]]).match(0, records)
    assert {rule for rule, _ in candidates} <= {"rule"}
    return [ids for _, ids in candidates]


def test_one_term_finds_every_record_of_its_type() -> None:
    assert found(Term("any", "fuse")) == [("main",), ("spare",)]
    assert found(Term("any", "lamp")) == []


def test_a_literal_is_met_by_the_same_text_only() -> None:
    assert found(Term("any", "fuse", (("state", "fitted"),))) == [("main",)]
    assert found(Term("any", "fuse", (("state", "Fitted"),))) == []
    assert found(Term("any", "fuse", (("state", "fitted"), ("place", "locker")))) == []
    assert found(Term("any", "fuse", (("place", "bilge"), ("place", "locker")))) == []


def test_a_missing_key_meets_no_literal() -> None:
    assert found(Term("any", "fuse", (("state", ""),))) == []


def test_a_join_needs_equal_texts() -> None:
    fuse = Term("fuse", "fuse", (), (("name", "cable", "fuse"),))
    assert found(BATTERY, FED, fuse) == [("bank", "feed", "main"), ("bank", "tail", "spare")]


def test_every_join_of_a_term_must_hold() -> None:
    both_ends = Term("cable", "cable", (), (("from", "battery", "name"), ("back", "battery", "name")))
    assert found(BATTERY, both_ends) == [("bank", "feed")]


def test_a_missing_key_joins_nothing_not_even_another_missing_key() -> None:
    one, other = Record("one", "cable", {}), Record("other", "cable", {})
    same_fuse = Term("b", "cable", (), (("fuse", "a", "fuse"),))
    assert found(Term("a", "cable"), same_fuse, records=[one, other]) == []
    assert found(Term("a", "cable"), same_fuse) == [("feed", "feed"), ("tail", "tail")]


def test_a_term_without_joins_stands_beside_every_row() -> None:
    assert found(BATTERY, Term("fuse", "fuse")) == [("bank", "main"), ("bank", "spare")]


def test_one_record_may_fill_two_terms() -> None:
    pairs = found(Term("a", "fuse"), Term("b", "fuse"))
    assert pairs == [("main", "main"), ("main", "spare"), ("spare", "main"), ("spare", "spare")]


def test_candidates_of_all_rules_come_sorted() -> None:
    fuse = (Term("fuse", "fuse"),)
    level = [Pattern("b", fuse), Pattern("a", fuse)]
    candidates = PlainMatcher([level]).match(0, list(reversed(HULL)))
    assert candidates == [("a", ("main",)), ("a", ("spare",)), ("b", ("main",)), ("b", ("spare",))]


def test_each_level_asks_its_own_rules() -> None:
    matcher = PlainMatcher([[Pattern("first", (BATTERY,))], [], [Pattern("last", (BATTERY,))]])
    assert [matcher.match(level, HULL) for level in range(3)] == [
        [("first", ("bank",))],
        [],
        [("last", ("bank",))],
    ]


def test_what_cannot_be_answered_is_refused() -> None:
    matcher = PlainMatcher([[Pattern("rule", (BATTERY,))]])
    with pytest.raises(PatternError, match="found level 1"):
        matcher.match(1, HULL)
    with pytest.raises(PatternError, match="two records"):
        matcher.match(0, [*HULL, *HULL])
    with pytest.raises(PatternError, match="twice"):
        PlainMatcher([[Pattern("rule", (BATTERY,)), Pattern("rule", (BATTERY, FED))]])


FACTS = st.sampled_from(["fuse", "cable"])
KEYS = st.sampled_from("kq")
TEXTS = st.sampled_from(["", "x", "y"])


@st.composite
def patterns(draw: st.DrawFn) -> Pattern:
    terms: list[Term] = []
    for number in range(draw(st.integers(1, 3))):
        earlier = st.sampled_from([term.alias for term in terms] or ["none"])
        literals = draw(st.lists(st.tuples(KEYS, TEXTS), max_size=2))
        joins = draw(st.lists(st.tuples(KEYS, earlier, KEYS), max_size=2 if terms else 0))
        terms.append(Term(f"t{number}", draw(FACTS), tuple(literals), tuple(joins)))
    return Pattern("rule", tuple(terms))


RECORDS = st.lists(st.tuples(FACTS, st.dictionaries(KEYS, TEXTS)), max_size=5).map(
    lambda rows: [Record(f"id{number}", fact, keys) for number, (fact, keys) in enumerate(rows)]
)


def by_definition(pattern: Pattern, records: list[Record]) -> list[Candidate]:
    """Try every row of records and keep those in which all that the terms ask for is so."""
    kept = []
    for row in product(records, repeat=len(pattern.terms)):
        at = {term.alias: record.keys for term, record in zip(pattern.terms, row, strict=True)}
        if all(
            record.fact == term.fact
            and all(key in record.keys and record.keys[key] == text for key, text in term.literals)
            and all(
                key in record.keys and its in at[other] and record.keys[key] == at[other][its]
                for key, other, its in term.joins
            )
            for term, record in zip(pattern.terms, row, strict=True)
        ):
            kept.append((pattern.rule, tuple(record.id for record in row)))
    return sorted(kept)


@given(patterns(), RECORDS, st.randoms(use_true_random=False))
def test_a_match_is_what_its_definition_says_in_any_order(
    pattern: Pattern, records: list[Record], order: random.Random
) -> None:
    matcher = PlainMatcher([[pattern]])
    expected = by_definition(pattern, records)
    assert matcher.match(0, records) == expected
    order.shuffle(records)
    assert matcher.match(0, records) == expected
