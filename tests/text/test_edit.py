"""The careful editor: the change asked for, and not a byte besides."""

import copy
import random
import re
import stat
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from ringout.text import document
from ringout.text.compose import Form
from ringout.text.document import read_text
from ringout.text.edit import add_entry, add_item, quote, remove, set_value, write_whole
from ringout.text.problem import Loc, Unusable

CASE = """\
# the marsh van
name: van   # ours
parts:
  b1:
    chemistry: LFP   # printed
    note: |
      two
      lines

  # the fuse
  f1: {rating: 30 A, "odd": [1, 2]}   # spare in the drawer
readings: []   # none yet
empty:   # not asked
pair: {a, b: }
spare: {a: , b: 1}
list:
- a
- b: 1   # about b
  # about c
  c: 2
- - x
  - y
end: done
"""


def expect(result: str, old: str, new: str) -> None:
    assert CASE.count(old) == 1, "the test must name one place"
    assert result == CASE.replace(old, new)


@pytest.mark.parametrize(
    ("loc", "value", "old", "new"),
    [
        (("name",), "boat", "name: van   # ours", "name: boat   # ours"),
        (("parts", "b1", "note"), "quiet", "|\n      two\n      lines", "quiet"),
        (("parts", "f1", "odd"), "[]", "[1, 2]", "[]"),
        (("parts", "f1", "odd", 1), '"a, b"', "[1, 2]", '[1, "a, b"]'),
        (("parts", "f1"), "gone", '{rating: 30 A, "odd": [1, 2]}', "gone"),
        (("parts", "b1"), "gone", CASE[CASE.index("  b1") : CASE.index("\n  # the")], "  b1: gone\n"),
        (("empty",), "full", "empty:   #", "empty: full   #"),
        (("empty",), "", "empty:   #", "empty:    #"),
        (("pair", "a"), "1", "{a, b: }", "{a: 1, b: }"),
        (("pair", "b"), "1", "{a, b: }", "{a, b: 1 }"),
        (("list",), "{}", CASE[CASE.index("list:") : CASE.index("end")], "list: {}\n"),
        (("list", 0), "{k: v}", "- a\n", "- {k: v}\n"),
        (("list", 2), "z", "- - x\n  - y\n", "- z\n"),
    ],
)
def test_set_value(loc: Loc, value: str, old: str, new: str) -> None:
    expect(set_value(CASE, loc, value), old, new)


@pytest.mark.parametrize(
    ("loc", "old", "new"),
    [
        ((), "end: done\n", "end: done\nk: v\n"),
        (("parts",), "in the drawer\n", "in the drawer\n  k: v\n"),
        (("parts", "b1"), "lines\n", "lines\n    k: v\n"),
        (("parts", "f1"), "[1, 2]}", "[1, 2], k: v}"),
        (("empty",), "# not asked\n", "# not asked\n  k: v\n"),
        (("pair",), "{a, b: }", "{a, b: , k: v }"),
        (("pair", "a"), "{a, b: }", "{a: {k: v}, b: }"),
        (("list", 1), "  c: 2\n", "  c: 2\n  k: v\n"),
        (("new",), "end: done\n", "end: done\nnew:\n  k: v\n"),
        (("a: b",), "end: done\n", 'end: done\n"a: b":\n  k: v\n'),
    ],
)
def test_add_entry(loc: Loc, old: str, new: str) -> None:
    expect(add_entry(CASE, loc, "k", "v"), old, new)


@pytest.mark.parametrize(
    ("loc", "old", "new"),
    [
        (("readings",), "readings: []   # none yet\n", "readings:   # none yet\n  - v\n"),
        (("parts", "f1", "odd"), "[1, 2]", "[1, 2, v]"),
        (("list",), "  - y\n", "  - y\n- v\n"),
        (("list", 2), "  - y\n", "  - y\n  - v\n"),
        (("empty",), "# not asked\n", "# not asked\n  - v\n"),
        (("new",), "end: done\n", "end: done\nnew:\n  - v\n"),
    ],
)
def test_add_item(loc: Loc, old: str, new: str) -> None:
    expect(add_item(CASE, loc, "v"), old, new)


@pytest.mark.parametrize(
    ("loc", "old", "new"),
    [
        (("name",), "name: van   # ours\n", ""),
        (("parts", "b1", "note"), "    note: |\n      two\n      lines\n", ""),
        (("parts", "f1", "rating"), "rating: 30 A, ", ""),
        (("parts", "f1", "odd"), ', "odd": [1, 2]', ""),
        (("parts", "f1", "odd", 0), "[1, 2]", "[2]"),
        (("empty",), "empty:   # not asked\n", ""),
        (("pair", "a"), "{a, b: }", "{b: }"),
        (("pair", "b"), "{a, b: }", "{a }"),
        (("spare", "b"), "{a: , b: 1}", "{a: }"),
        (("list", 0), "- a\n", ""),
        (("list", 1), "- b: 1   # about b\n  # about c\n  c: 2\n", ""),
        (("list", 1, "b"), "- b: 1   # about b\n  # about c", "- # about c"),
        (("list", 1, "c"), "  c: 2\n", ""),
        (("list", 2, 0), "- - x\n  - y\n", "- - y\n"),
        (("list", 2, 1), "  - y\n", ""),
    ],
)
def test_remove(loc: Loc, old: str, new: str) -> None:
    expect(remove(CASE, loc), old, new)


@pytest.mark.parametrize(
    ("text", "loc", "result"),
    [
        ("a:\n  b: 1\n", ("a", "b"), "a: {}\n"),
        ("a:\n- b\n", ("a", 0), "a: []\n"),
        ("a: [b]\n", ("a", 0), "a: []\n"),
        ("# top\na: 1 # one\n", ("a",), "# top\n{} # one\n"),
        ("[\n  a, # first\n  b, # second\n]\n", (1,), "[\n  a, # first\n   # second\n]\n"),
        ("[a, b,]\n", (1,), "[a,]\n"),
        ("a: |\n  x\nb: 1\n\n  # on b\n# end\n", ("b",), "a: |\n  x\n# end\n"),
        ("a: 1\nb: 1\n  # on b", ("b",), "a: 1\n"),
        ("a: 1\nb: 1\n# on c\n  # more\nc: 1\n", ("b",), "a: 1\n# on c\n  # more\nc: 1\n"),
        ("a: |\n  x\nb: 1\n    \nc: 1\n", ("b",), "a: |\n  x\nc: 1\n"),
        ("a: 1\nb: 1\n\n# on c\nc: 1\n", ("b",), "a: 1\n\n# on c\nc: 1\n"),
    ],
)
def test_remove_keeps_what_held_it(text: str, loc: Loc, result: str) -> None:
    assert remove(text, loc) == result


@pytest.mark.parametrize(
    ("text", "result"),
    [
        ("{}", "k: v"),
        ("{ } # none\n", "k: v # none\n"),
        ("{ # none\n}\n", "{k: v # none\n}\n"),
        ("{a: 1}\n", "{a: 1, k: v}\n"),
        ("a: 1", "a: 1\nk: v"),
        ("a: 1\r\n", "a: 1\r\nk: v\r\n"),
        ("a: |+\n  x\n\n", "a: |+\n  x\n\nk: v\n"),
        ("a: |\n  x\n\n# end\n", "a: |\n  x\nk: v\n\n# end\n"),
        ("---\na: 1\n...\n", "---\na: 1\nk: v\n...\n"),
    ],
)
def test_add_entry_at_the_top(text: str, result: str) -> None:
    assert add_entry(text, (), "k", "v") == result


@pytest.mark.parametrize(
    ("text", "result"),
    [
        ("a: {}\n", "a:\n  k: v\n"),
        ("a:\n  {}\n", "a:\n  k: v\n"),
        ("a: # none\n  {}\n", "a: # none\n  k: v\n"),
        ("b:\n  c: 1\na: {}", "b:\n  c: 1\na:\n  k: v"),
        ("{a: {}}\n", "{a: {k: v}}\n"),
        ("{b: 1}\n", "{b: 1, a: {k: v}}\n"),
    ],
)
def test_add_entry_to_an_empty_mapping(text: str, result: str) -> None:
    assert add_entry(text, ("a",), "k", "v") == result


def test_a_mapping_begun_in_a_list_follows_its_dash() -> None:
    assert add_entry("-\n- {}\n", (0,), "k", "v") == "- k: v\n- {}\n"
    assert add_entry("-\n- {}\n", (1,), "k", "v") == "-\n- k: v\n"
    assert add_item("- []\n", (0,), "v") == "- - v\n"


def refused(call: Any, *arguments: Any) -> str:
    with pytest.raises(ValueError) as caught:
        call(*arguments)
    return str(caught.value)


def test_what_cannot_be_done_is_refused() -> None:
    assert refused(set_value, CASE, ("gone",), "x") == "there is no gone"
    assert refused(remove, CASE, ("list", 9)) == "there is no list.10"
    assert refused(remove, CASE, ()) == "the whole file cannot be removed from itself"
    assert refused(add_entry, CASE, (), "name", "x") == "name is there already"
    assert refused(add_entry, CASE, ("list",), "k", "v") == "there is no mapping list"
    assert refused(add_item, CASE, ("parts",), "v") == "there is no list parts"
    assert refused(add_item, CASE, ("parts", "gone"), "v") == "there is no list parts.gone"
    assert refused(add_item, "- a\n", ("gone",), "v") == "there is no list gone"


@pytest.mark.parametrize("value", ["a\nb: c", "a\n", "[a", "*a", "!t a", "a\n- b", "a: 1\n"])
def test_only_one_value_on_one_line_is_taken(value: str) -> None:
    assert "is not one value on one line" in refused(set_value, CASE, ("name",), value)


@pytest.mark.parametrize(
    ("call", "arguments"),
    [
        (set_value, (("parts", "f1", "rating"), "a, b")),  # in brackets: two values
        (set_value, (("name",), "a: b")),
        (add_item, (("parts", "f1", "odd"), "a # b")),  # in brackets: the rest becomes a comment
        (add_entry, ((), "x" * 2000, "v")),
    ],
)
def test_a_change_that_would_disturb_other_values_is_refused(call: Any, arguments: tuple[Any, ...]) -> None:
    assert "would disturb other values" in refused(call, CASE, *arguments)


def test_a_text_that_cannot_be_read_is_not_edited() -> None:
    with pytest.raises(Unusable):
        set_value("a: [", ("a",), "x")


@pytest.mark.parametrize(
    "text",
    [
        "van", "12 V", "-40 °C", "12:30", "2026-05-01", "yes", "~", "null", "0123", "it's", "½ full", "a#1",
        "file:8:16", "1/0 AWG", "95%", "<5", "(x)", "røyr", "🐦",
    ],
)  # fmt: skip
def test_a_text_that_needs_no_quotes_gets_none(text: str) -> None:
    assert quote(text) == text


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("", '""'),
        ("a: b", '"a: b"'),
        ("a #b", '"a #b"'),
        ("- a", '"- a"'),
        ("-x", '"-x"'),
        ("a, b", '"a, b"'),
        (" a", '" a"'),
        ("a ", '"a "'),
        ("two\nlines", '"two\\nlines"'),
        ('say "a: b"', '"say \\"a: b\\""'),
        ("\\ #", '"\\\\ #"'),
        ("\x07\t\xa0\u2028\U000e0001", '"\\x07\\t\\xA0\\u2028\\U000E0001"'),
        ("*a", '"*a"'),
        ("...", '"..."'),
        ("<<", '"<<"'),
    ],
)
def test_a_text_that_needs_quotes_gets_them(text: str, written: str) -> None:
    assert quote(text) == written


def test_half_a_character_cannot_be_quoted() -> None:
    assert refused(quote, "a\ud800") == r"no file can hold 'a\ud800'"


ANY_TEXT = st.text(max_size=20) | st.text(st.sampled_from("a1 \n\t:-,[]{}#'\"\\?&*!|>%@`.<~"), max_size=8)


@settings(max_examples=500)
@given(ANY_TEXT)
def test_any_text_survives(text: str) -> None:
    for loader in (document.LOADER, yaml.SafeLoader):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(document, "LOADER", loader)
            written = quote(text)
            assert read_text(written, "f").data == text
            assert read_text(f"- {written}\n- {written}\n", "f").data == [text, text]
            assert read_text(f"{written}: {written}\n", "f").data == {text: text}
            assert read_text(f"[{written}, {{{written}: {written}}}]", "f").data == [text, {text: text}]


NAMES = st.sampled_from(["a", "b1", "c d", "x: y", "é", "-"])
SCALARS = st.none() | ANY_TEXT | st.sampled_from(["quiet", "quiet night", "two\nlines\n", "one\n"])
DATA = st.recursive(
    st.lists(SCALARS, max_size=3) | st.dictionaries(NAMES, SCALARS, max_size=3),
    lambda inner: st.lists(SCALARS | inner, max_size=3) | st.dictionaries(NAMES, SCALARS | inner, max_size=4),
    max_leaves=6,
)
HANDS = st.randoms(use_true_random=False)


class Writer:
    """Writes data in a mixed hand: blocks, brackets, quotes, lines after |, comments, blank lines."""

    def __init__(self, hand: random.Random) -> None:
        self.hand = hand

    def file(self, data: Any) -> str:
        if not data:
            return self.flow(data) + self.comment() + "\n"
        text = self.gap("") + self.block(data, "")
        return text.rstrip("\n") if "|" not in text and self.hand.random() < 0.2 else text

    def block(self, data: Any, indent: str) -> str:
        """Lines of a mapping or list that is not empty."""
        if isinstance(data, list):
            entries = [("-", item) for item in data]
        else:
            entries = [(quote(name) + ":", value) for name, value in data.items()]
        return "".join(self.entry(sign, value, indent) + self.gap(indent) for sign, value in entries)

    def entry(self, sign: str, value: Any, indent: str) -> str:
        if isinstance(value, dict | list) and value and self.hand.random() < 0.7:
            if sign == "-" and self.hand.random() < 0.6:
                return indent + "- " + self.block(value, indent + "  ").removeprefix(indent + "  ")
            in_line = sign != "-" and isinstance(value, list) and self.hand.random() < 0.5
            deeper = indent + ("" if in_line else self.hand.choice(["  ", "    "]))
            return indent + sign + self.comment() + "\n" + self.gap(deeper) + self.block(value, deeper)
        if isinstance(value, str) and value.strip().replace("\n", " ") in ("quiet", "two lines", "one"):
            return f"{indent}{sign} {self.lines(value, indent)}"
        written = self.flow(value)
        return indent + sign + (" " + written if written else "") + self.comment() + "\n"

    def lines(self, value: str, indent: str) -> str:
        mark = "|" if value.endswith("\n") else "|-"
        return mark + self.comment() + "\n" + "".join(f"{indent}  {line}\n" for line in value.splitlines())

    def flow(self, data: Any) -> str:
        if isinstance(data, list):
            return "[" + ", ".join(self.flow(item) or "''" for item in data) + "]"
        if isinstance(data, dict):
            return "{" + ", ".join(f"{quote(name)}: {self.flow(value)}" for name, value in data.items()) + "}"
        return "" if data is None else quote(data)

    def comment(self) -> str:
        return "  # seen" if self.hand.random() < 0.3 else ""

    def gap(self, indent: str) -> str:
        return indent + self.comment().strip() + "\n" if self.hand.random() < 0.15 else ""


def with_empty_text(data: Any) -> Any:
    """No value and an empty text as one: the writer has no other sign for no value in a list in brackets."""
    if isinstance(data, dict):
        return {name: with_empty_text(value) for name, value in data.items()}
    if isinstance(data, list):
        return [with_empty_text(value) for value in data]
    return data or ""


@settings(max_examples=200)
@given(DATA, HANDS)
def test_data_written_in_any_hand_reads_back(data: Any, hand: random.Random) -> None:
    assert with_empty_text(read_text(Writer(hand).file(data), "f").data) == with_empty_text(data)


def inside(data: Any, loc: Loc) -> Any:
    for step in loc:
        data = data[step]
    return data


def untouched(old: str, new: str) -> int:
    """Characters in the common start and, after it, the common end of two texts."""
    start = 0
    while start < min(len(old), len(new)) and old[start] == new[start]:
        start += 1
    end = 0
    while end < min(len(old), len(new)) - start and old[-1 - end] == new[-1 - end]:
        end += 1
    return start + end


def lines_of(text: str, loc: Loc) -> int:
    """Characters of the lines on which a value and its name stand, with one line break."""
    read_case = read_text(text, "f")
    place = read_case.places[loc]
    start, end = read_case.span(loc)
    first = text.rfind("\n", 0, place.name_start.index if place.name_start else start) + 1
    after = text.find("\n", end)
    return (after + 1 if after >= 0 else len(text)) - first


def room_of(text: str, loc: Loc) -> int:
    """Characters between the entry before and the one after, or the comments after the last."""
    read_case = read_text(text, "f")
    held = inside(read_case.data, loc[:-1])
    steps: list[Any] = list(range(len(held))) if isinstance(held, list) else list(held)
    if len(steps) == 1:
        return lines_of(text, loc[:-1])
    position = steps.index(loc[-1])
    first = read_case.span(loc[:-1])[0]
    if position > 0:
        first = read_case.span((*loc[:-1], steps[position - 1]))[1]
    if position + 1 < len(steps):
        return read_case.span((*loc[:-1], steps[position + 1]))[0] - first
    with_comments = re.compile(r"[^\n]*(?:\n *(?:#[^\n]*)?)*").match(text, read_case.span(loc)[1])
    assert with_comments
    return with_comments.end() - first


@settings(max_examples=400)
@given(DATA, HANDS, st.sampled_from(["add", "remove", "set"]), SCALARS, st.data())
def test_an_edit_changes_what_was_asked_and_nothing_else(
    data: Any, hand: random.Random, change: str, new: str | None, draw: st.DataObject
) -> None:
    text = Writer(hand).file(data)
    before = read_text(text, "f")
    loc = draw.draw(st.sampled_from(sorted(before.places, key=str)))
    if new is None and any(before.places[loc[:n]].form is Form.FLOW for n in range(len(loc) + 1)):
        new = ""  # brackets have no sign for an item without a value
    value = "" if new is None else quote(new)
    there = before.at(loc)
    expected = copy.deepcopy(before.data)
    touched = lines_of(text, loc)
    if change == "add" and isinstance(there, dict):
        inside(expected, loc)["new"] = new
        result = add_entry(text, loc, "new", value)
        touched = 0 if there else touched
    elif change == "add" and isinstance(there, list):
        inside(expected, loc).append(new)
        result = add_item(text, loc, value)
        touched = 0 if there else touched
    elif change == "remove" and loc:
        del inside(expected, loc[:-1])[loc[-1]]
        result = remove(text, loc)
        touched = room_of(text, loc)
    else:
        expected = set_in(expected, loc, new or "x")
        result = set_value(text, loc, quote(new or "x"))
    assert read_text(result, "f").data == expected
    assert untouched(text, result) >= len(text) - touched


def set_in(data: Any, loc: Loc, value: str) -> Any:
    if not loc:
        return value
    inside(data, loc[:-1])[loc[-1]] = value
    return data


def test_write_whole_replaces_the_file_and_keeps_its_mode(tmp_path: Path) -> None:
    path = tmp_path / "case.yaml"
    path.write_text("old\n")
    path.chmod(0o640)
    write_whole(path, "røyr\r\n")
    assert path.read_bytes() == "røyr\r\n".encode()
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert list(tmp_path.iterdir()) == [path]


def test_write_whole_makes_a_file_and_follows_a_link(tmp_path: Path) -> None:
    path, link = tmp_path / "case.yaml", tmp_path / "link.yaml"
    link.symlink_to(path)
    write_whole(link, "a: 1\n")
    assert link.is_symlink()
    assert path.read_text() == "a: 1\n"


@pytest.mark.parametrize("failing", ["fsync", "replace"])
def test_a_write_that_fails_leaves_the_old_file_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: str
) -> None:
    path = tmp_path / "case.yaml"
    path.write_text("old\n")

    def fail(*_: object) -> None:
        raise OSError("no space left")

    monkeypatch.setattr(*(("os.fsync", fail) if failing == "fsync" else (Path, "replace", fail)))
    with pytest.raises(OSError, match="no space left"):
        write_whole(path, "new\n")
    assert path.read_text() == "old\n"
    assert list(tmp_path.iterdir()) == [path]
