"""What a pattern may ask, and the errors for what it may not."""

import pytest

from ringout.inference.pattern import (
    MAX_TERMS,
    Pattern,
    PatternError,
    Record,
    Term,
    check_question,
    checked_levels,
)

FUSE = Term("fuse", "fuse", (("state", "fitted"),))
CABLE = Term("cable", "cable", (), (("fuse", "fuse", "name"),))


def test_a_pattern_keeps_its_terms_in_order() -> None:
    pattern = Pattern("fuse too large for its cable", (FUSE, CABLE))
    assert [term.alias for term in pattern.terms] == ["fuse", "cable"]


@pytest.mark.parametrize("count", [1, MAX_TERMS])
def test_one_to_sixteen_terms_are_taken(count: int) -> None:
    terms = tuple(Term(f"part {number}", "part") for number in range(count))
    assert len(Pattern("parts", terms).terms) == count


@pytest.mark.parametrize("count", [0, 17])
def test_other_numbers_of_terms_are_refused(count: int) -> None:
    terms = tuple(Term(f"part {number}", "part") for number in range(count))
    with pytest.raises(PatternError, match=rf"^rule 'parts': found {count} terms, expected 1 to 16$"):
        Pattern("parts", terms)


def test_the_anchor_can_join_to_nothing() -> None:
    with pytest.raises(PatternError) as refused:
        Pattern("fed", (CABLE, FUSE))
    assert str(refused.value) == (
        "rule 'fed', term 'cable': key 'fuse' joins to 'fuse', expected an earlier term: there is none"
    )


def test_a_join_to_itself_or_to_a_later_term_is_refused() -> None:
    lamp = Term("lamp", "lamp", (), (("on", "lamp", "name"),))
    with pytest.raises(PatternError) as refused:
        Pattern("lit", (FUSE, CABLE, lamp))
    assert str(refused.value) == (
        "rule 'lit', term 'lamp': key 'on' joins to 'lamp', expected an earlier term: 'fuse', 'cable'"
    )


def test_an_alias_used_twice_is_refused() -> None:
    with pytest.raises(PatternError, match=r"^rule 'two fuses': found two terms named 'fuse', expected one$"):
        Pattern("two fuses", (FUSE, FUSE))


def test_a_rule_may_stand_in_two_levels_but_not_twice_in_one() -> None:
    pattern = Pattern("fused", (FUSE,))
    assert checked_levels([[pattern], iter([pattern])]) == ((pattern,), (pattern,))
    with pytest.raises(PatternError, match=r"^level 1: found rule 'fused' twice, expected it once$"):
        checked_levels([[], [pattern, pattern]])


@pytest.mark.parametrize("level", [-1, 2])
def test_a_level_that_is_not_there_is_refused(level: int) -> None:
    with pytest.raises(PatternError, match=rf"^found level {level}, expected one of the 2 levels"):
        check_question(level, 2, [])


def test_two_records_with_one_id_are_refused() -> None:
    records = [Record("f1", "fuse", {}), Record("f2", "fuse", {}), Record("f1", "cable", {})]
    check_question(0, 1, records[:2])
    with pytest.raises(PatternError, match=r"^found two records with the id 'f1', expected one$"):
        check_question(0, 1, records)
