"""Lines of `dc:` and `ac:` put back into the text of a case, and values as they stand in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ringout.text.compose import Form
from ringout.text.document import read_text
from ringout.text.edit import add_item, quote, remove, set_value

LineText = str | Mapping[str, Any]
"""One line as it is meant: a text, or names with values; a chain before a colon is one such name."""


class Unfit(Exception):
    """Why something cannot be done to this case, in words that go on from "because"."""


def flow(value: Any) -> str:
    """A value as it can stand anywhere in a file, on one line."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{quote(str(name))}: {flow(each)}" for name, each in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(map(flow, value)) + "]"
    return quote(str(value))


def replace_lines(text: str, key: str, new: Mapping[int, Sequence[LineText]]) -> str:
    """The text with lines of the list `key` (by number from 0) replaced; no line in place of one removes it.

    The first line takes the place of the old one, further ones go to the end of the list.
    """
    for number in sorted(new, reverse=True):
        if not new[number]:
            text = remove(text, (key, number))
            continue
        text = _in_place(text, key, number, new[number][0])
    for number in sorted(new):
        for line in new[number][1:]:
            text = add_line(text, key, line)
    return text


def add_line(text: str, key: str, line: LineText) -> str:
    """The text with one more line at the end of the list `key`."""
    return add_item(text, (key,), _shaped(text, key, line))


def _in_place(text: str, key: str, number: int, line: LineText) -> str:
    document = read_text(text, "")
    old, form = document.at((key, number)), document.places[key, number].form
    if isinstance(line, Mapping) and isinstance(old, dict) and old.keys() == line.keys():
        for name, value in line.items():  # only what changed, so that the rest keeps its spacing
            if old[name] != value:
                shaped = flow(value) if form is Form.FLOW else _by_hand(value)
                text = set_value(text, (key, number, name), shaped)
        return text
    return set_value(text, (key, number), _shaped(text, key, line))


def _shaped(text: str, key: str, line: LineText) -> str:
    """A line as written by hand where the list stands on lines of its own, else as it goes in brackets."""
    place = read_text(text, "").places.get((key,))
    if place is not None and place.form is Form.FLOW:
        return flow(line)
    if isinstance(line, Mapping) and len(line) == 1:
        ((chain, behind),) = line.items()
        return f"{_by_hand(chain)} : {_by_hand(behind)}"
    return _by_hand(line)


def _by_hand(value: Any) -> str:
    """A value outside brackets, where a comma means nothing and needs no quotes."""
    if isinstance(value, str) and quote(bare := value.replace(",", "")) == bare:
        return value
    return flow(value)
