"""Lengths, sources, and words that look like a brand."""

from collections.abc import Callable
from pathlib import Path

import pytest

from ringout.lint.base import read_base
from ringout.lint.texts import texts
from ringout.shipped import knowledge_in
from ringout.text.problem import Unusable

Complaints = Callable[..., list[str]]
FILE = "loads/too-much-lost.yaml"


def test_the_good_rule_is_clean(complaints: Complaints) -> None:
    assert complaints(texts) == []


@pytest.mark.parametrize(
    ("words", "column", "found"),
    [
        ("Fit a Voltmaxx cable.", 13, "Voltmaxx"),
        ("Fit a cable of ACME.", 22, "ACME"),
        ("ACME cable is good.", 7, "ACME"),
        ("Fit the eVolt cable.", 15, "eVolt"),
    ],
)
def test_a_word_that_looks_like_a_brand(complaints: Complaints, words: str, column: int, found: str) -> None:
    assert complaints(texts, ("Fit a thicker cable.", words)) == [
        f"{FILE}:13:{column}: finding.do: expected a plain word, or one of tables/names.yaml, found '{found}'"
    ]


@pytest.mark.parametrize(
    "words",
    ["Fit an RCD of 30 mA.", "Fit it: Then look.", "Stop. Then fit it.", "An AGM or LFP bank.", "As ISO 10133 asks."],
)
def test_words_of_the_trade_and_of_standards_are_none(complaints: Complaints, words: str) -> None:
    assert complaints(texts, ("do: Fit a thicker cable.", f'do: "{words}"')) == []


@pytest.mark.parametrize("source", ["", "somebody said so"])
def test_a_limit_without_a_source(complaints: Complaints, limit: str, source: str) -> None:
    (found,) = complaints(texts, files={"limits/all.yaml": limit.replace("common practice, no source", source)})
    assert found.startswith("limits/all.yaml:6:11: most_lost: expected a title with (kind, year), 'common practice")


@pytest.mark.parametrize("source", ["A handbook (handbook, no year): 1 V", "from memory", "plain arithmetic: half"])
def test_a_published_or_an_honest_source_will_do(complaints: Complaints, limit: str, source: str) -> None:
    assert complaints(texts, files={"limits/all.yaml": limit.replace("common practice, no source", source)}) == []


@pytest.mark.parametrize("sources", ["sources: []", 'sources: [""]'])
def test_a_rule_without_a_source(complaints: Complaints, sources: str) -> None:
    (found,) = complaints(texts, ('sources: ["common practice, no source"]', sources))
    assert f"{FILE}:18:" in found and "source, found no" in found


def test_a_text_that_is_too_long(complaints: Complaints) -> None:
    said = "A volt lost on the way is a volt too few at the load."
    (found,) = complaints(texts, (said, "a " * 141))
    assert found.endswith("expected at most 280 characters, found 281")


def test_a_title_that_is_too_long_is_refused(pack: Path) -> None:
    file = pack / FILE
    file.write_text(file.read_text().replace("title: A lead", "title: " + "a " * 30 + "lead"))
    with knowledge_in(pack), pytest.raises(Unusable, match="expected at most 60 characters"):
        read_base([])
