"""Plain words for what the YAML parser says of a file it cannot follow.

The parser's own words speak of tokens and simple keys, and differ a little between the parser in C and the
one in Python. The patterns below fit both, so that a file earns the same message either way.
"""

import re
from typing import Any, Protocol

from ringout.text.problem import Problem, Spot, shown

LONGEST_NAME = 1024
"""Characters the parser looks back for the start of a name."""

Told = tuple[int, str, str, str]
"""Index in the text, what was expected, what was found, hint."""


class Mark(Protocol):
    """The parser's position: all three count from 0, in characters."""

    index: int
    line: int
    column: int


def in_plain_words(error: Any, file: str, text: str, opening: Mark | None) -> Problem:
    """The problem behind a parser's error. `opening` is the innermost bracket still open, if any."""
    said = f"{error.context or ''}: {error.problem}"
    at: Mark = error.problem_mark
    since: Mark = error.context_mark or at
    index, expected, found, hint = _tell(said, text, at, since, opening)
    before = re.split("\r\n|\r|\n", text[:index])
    return Problem(Spot(file, len(before), len(before[-1]) + 1), "", expected, found, hint)


def _tell(said: str, text: str, at: Mark, since: Mark, opening: Mark | None) -> Told:
    here = text[at.index : at.index + 1]

    def says(pattern: str) -> bool:
        return re.search(pattern, said) is not None

    if says("quoted scalar: found unexpected"):
        end = "the end of the file" if says("end of stream") else "a line that starts with '---' or '...'"
        return since.index, f"a closing {text[since.index]} after this one", end, ""
    if says("quoted scalar"):
        return _escape(text, at, since)
    if says("directive|%YAML|%TAG|incompatible"):
        return since.index, "plain YAML without directives", "a line that starts with '%'", ""
    if says("anchor|alias|tag"):
        word = text[since.index :].split(maxsplit=1)[0]
        return since.index, "a plain value", shown(word), f"put a text that starts with '{word[0]}' in quotes"
    if here == "\t" and says("tab character|cannot start"):
        return at.index, "spaces", "a tab", ""
    if says("cannot start"):
        hint = f"put a text that starts with '{here}' in quotes"
        return at.index, "a value", shown(_rest(text, at)), hint
    if says("block scalar"):
        expected = "the text to start on the line after the one with '|' or '>'"
        return at.index, expected, shown(_rest(text, at)), ""
    if says("could not find expected ':'"):
        hint = "write 'name: value', with a space after the colon"
        return since.index, "a name and a colon", shown(_rest(text, since)), hint
    if says("sequence entries are not allowed"):
        return at.index, "a list to start on a line of its own", shown(_rest(text, at)), ""
    if says("mapping keys are not allowed"):
        hint = "put a text that starts with '?' in quotes"
        return at.index, "a value", shown(_rest(text, at)), hint
    if says("mapping values are not allowed"):
        return _stray_colon(text, at)
    if says("unexpected ':'"):
        return at.index, "a space after the colon", shown(_rest(text, at)), ""
    if opening and at.index >= len(text.rstrip()):
        bracket = text[opening.index]
        closing = "]" if bracket == "[" else "}"
        return opening.index, f"a closing {closing} after this {bracket}", "the end of the file", ""
    if says("',' or"):
        closing = "]" if says("]") else "}"
        where = f"line {since.line + 1}, column {since.column + 1}"
        expected = f"a comma or the {closing} that closes the bracket at {where}"
        return at.index, expected, shown(_rest(text, at)), "put a text that holds , [ ] { } or ': ' in quotes"
    if says("node content"):
        if here == ":":
            return at.index, "a name before the colon", "none", ""
        return at.index, "a value", shown(here), ""
    if says("document start"):
        return at.index, "nothing more after the end of the data", shown(_rest(text, at)), ""
    if says("block mapping|block collection"):
        return _out_of_line(text, at, since)
    return at.index, "YAML that can be followed", shown(_rest(text, at)), ""


def _escape(text: str, at: Mark, since: Mark) -> Told:
    # the two builds differ by one in where they mark a code: both marks stand at or after its backslash
    index = text.rfind("\\", since.index, at.index + 1)
    expected = 'one of the codes \\n \\t \\" \\\\ or \\x \\u \\U with its digits'
    hint = "in single quotes a backslash is a plain character"
    return index, expected, shown(text[index : index + 2]), hint


def _stray_colon(text: str, at: Mark) -> Told:
    line = text[at.index - at.column : at.index]
    if len(line) > LONGEST_NAME:
        return at.index, f"a name of at most {LONGEST_NAME:,} characters", "a longer one", ""
    if re.search(r":\s", line):
        return at.index, "one value", "a second colon", "put a text that holds ': ' in quotes"
    index = at.index - len(line.lstrip())
    found = "a line that goes on from the value above"
    hint = "lines that belong together have the same spaces in front"
    return index, "a name in line with the names above", found, hint


def _out_of_line(text: str, at: Mark, since: Mark) -> Told:
    """A line of a mapping or list that begins where it should not, or something left over on the line."""
    rest = shown(_rest(text, at))
    if text[at.index - at.column : at.index].strip():
        hint = "put the whole text in quotes, or close a quote that was opened further up"
        return at.index, "the end of the line", rest, hint
    if text[at.index] == ":":
        return at.index, "a name before the colon", "none", ""
    kind = "a '-' in line with the others" if text[since.index] == "-" else "a name in line with the others"
    where = f"from line {since.line + 1}, column {since.column + 1}"
    hint = "lines that belong together have the same spaces in front"
    return at.index, f"{kind} {where}", rest, hint


def _rest(text: str, mark: Mark) -> str:
    return re.split("[\r\n]", text[mark.index :], maxsplit=1)[0].rstrip()
