"""None found is none there only where nobody stopped looking."""

import pytest

from ringout.case.frame import LOOKED
from ringout.facts.looked import COMPLETE, none_or


@pytest.mark.parametrize("told", ["yes", "no"])
@pytest.mark.parametrize("word", LOOKED)
def test_only_a_search_to_the_end_makes_it_none(word: str, told: str) -> None:
    assert none_or([word], told) == ("no" if word in ("all", "none seen") else told)
    assert none_or(["all", word], told) == none_or([word], told)


def test_the_words_are_those_of_a_case() -> None:
    assert set(LOOKED) > COMPLETE
