"""The parser's errors in plain words: never its own, and always at a place that exists."""

import re
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringout.text.document import read_text
from ringout.text.problem import Problem, Spot, Unusable
from ringout.text.syntax import in_plain_words

YAML_LIKE = st.text(st.sampled_from("ab \n\t:-?,[]{}#&*!|>'\"%@`\\x4"), max_size=40)
PARSER_WORDS = re.compile(
    r"token|scalar|stream|did not find|could not find|not allowed|while (parsing|scanning)|block|flow|<"
)


@settings(max_examples=500)
@given(YAML_LIKE)
def test_no_message_speaks_the_parsers_language(text: str) -> None:
    try:
        read_text(text, "f")
    except Unusable as unusable:
        for problem in unusable.problems:
            assert not PARSER_WORDS.search(problem.expected.replace("the text to start on the line", ""))
            assert not PARSER_WORDS.search(problem.hint)
            assert problem.expected != "YAML that can be followed", "an error without words of our own"


@settings(max_examples=300)
@given(YAML_LIKE)
def test_every_problem_stands_inside_the_text(text: str) -> None:
    lines = text.split("\n")
    try:
        read_text(text, "f")
    except Unusable as unusable:
        for problem in unusable.problems:
            assert 1 <= problem.spot.line <= len(lines)
            assert 1 <= problem.spot.column <= len(lines[problem.spot.line - 1]) + 1


@pytest.mark.parametrize("line_break", ["\n", "\r\n", "\r"])
def test_lines_are_counted_whatever_ends_them(line_break: str) -> None:
    with pytest.raises(Unusable) as caught:
        read_text(f"a: 1{line_break}b: 2{line_break}c: [3", "f")
    assert caught.value.problems[0].spot == Spot("f", 3, 4)


def test_in_brackets_a_colon_needs_a_space() -> None:
    """Only the parser in C sees an error here, so that no file beside the other broken ones can show it."""
    said = {"context": "while scanning a plain scalar", "problem": "found unexpected ':'"}
    at, since = SimpleNamespace(index=6, line=0, column=6), SimpleNamespace(index=5, line=0, column=5)
    error = SimpleNamespace(**said, problem_mark=at, context_mark=since)
    problem = in_plain_words(error, "f", "b1: {k:[LFP]}\n", at)
    assert (problem.spot, problem.expected) == (Spot("f", 1, 7), "a space after the colon")


def test_an_error_nobody_foresaw_still_shows_place_and_line() -> None:
    mark = SimpleNamespace(index=5, line=1, column=0)
    error = SimpleNamespace(context=None, context_mark=None, problem="news", problem_mark=mark)
    assert in_plain_words(error, "f", "a: 1\nb: 2\n", None) == Problem(
        Spot("f", 2, 1), "", "YAML that can be followed", "'b: 2'"
    )
