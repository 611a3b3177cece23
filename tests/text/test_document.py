"""The strict reader: text as written, every place right, and any input either read or refused."""

import os
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from ringout.text import document
from ringout.text.compose import Data
from ringout.text.document import LARGEST, read, read_text
from ringout.text.problem import Loc, Spot, Unusable

CASE = """\
# the ringing society's hut
name: Reed hut   # ours
parts:
  b1:
    chemistry: 'LFP'
    note: "warm \\u00e9 \\"to\\" touch"
    log: |
      quiet night
      bitterns heard

  f1: {rating: 30 A, spare: , marks: [1, 2 # two
    ]}
readings:
- it''s plain
-
- over two
  lines
last:
"""


def at(loc: Loc) -> str:
    start, end = read_text(CASE, "f").span(loc)
    return CASE[start:end]


def message(text: str) -> str:
    with pytest.raises(Unusable) as caught:
        read_text(text, "f")
    return str(caught.value)


def test_a_file_is_plain_names_lists_and_texts() -> None:
    assert read_text(CASE, "f").data == {
        "name": "Reed hut",
        "parts": {
            "b1": {
                "chemistry": "LFP",
                "note": 'warm é "to" touch',
                "log": "quiet night\nbitterns heard\n",
            },
            "f1": {"rating": "30 A", "spare": None, "marks": ["1", "2"]},
        },
        "readings": ["it''s plain", None, "over two lines"],
        "last": None,
    }


# Source: "YAML Language-Independent Types" (types bool, int, float, null, timestamp for YAML 1.1), type
# repository, 2005, from memory: each of these is something other than text to a reader that follows it.
@pytest.mark.parametrize(
    "written",
    [
        "y", "n", "yes", "Yes", "NO", "no", "on", "Off", "true", "~", "null", "0123", "0o14", "0x10",
        "0b1010", "685_230", "190:20:30", "1:30", "1e3", "6.8523015e+5", ".5", ".inf", ".NaN", "2026-05-01",
        "2001-12-14t21:59:43.10-05:00", "=", "1,200", "12V",
    ],
)  # fmt: skip
def test_a_scalar_stays_as_it_was_written(written: str) -> None:
    assert read_text(f"a: {written}\n", "f").data == {"a": written}
    assert read_text(f"{written}: a\n", "f").data == {written: "a"}


# Source: "YAML Ain't Markup Language", version 1.2 revision 1.2.2, specification, 2021, section 5.7 (escaped
# characters), from memory.
@pytest.mark.parametrize(
    ("code", "character"),
    [
        ("0", "\0"), ("a", "\a"), ("b", "\b"), ("t", "\t"), ("n", "\n"), ("v", "\v"), ("f", "\f"),
        ("r", "\r"), ("e", "\x1b"), (" ", " "), ('"', '"'), ("\\", "\\"), ("N", "\x85"), ("_", "\xa0"),
        ("L", "\u2028"),
        ("P", "\u2029"), ("x41", "A"), ("u263A", "☺"), ("U0001F426", "🐦"),
    ],
)  # fmt: skip
def test_a_code_in_double_quotes_is_its_character(code: str, character: str) -> None:
    assert read_text(f'"\\{code}"', "f").data == character


def test_quotes_make_an_empty_text_of_no_value() -> None:
    assert read_text("a: ''\nb:\nc: \"\"\n", "f").data == {"a": "", "b": None, "c": ""}


@pytest.mark.parametrize(
    ("loc", "line", "column"),
    [
        ((), 2, 1),
        (("name",), 2, 7),
        (("parts",), 4, 3),
        (("parts", "b1", "chemistry"), 5, 16),
        (("parts", "f1"), 11, 7),
        (("parts", "f1", "marks", 1), 11, 42),
        (("readings", 0), 14, 3),
        (("readings", 1), 15, 2),
        (("parts", "b2", "chemistry"), 4, 3),
        (("readings", 7), 14, 1),
        (("nothing",), 2, 1),
    ],
)
def test_spot_of_a_value_or_of_what_is_around_it(loc: Loc, line: int, column: int) -> None:
    assert read_text(CASE, "f").spot(loc) == Spot("f", line, column)


@pytest.mark.parametrize(
    ("loc", "line", "column"),
    [
        (("name",), 2, 1),
        (("parts", "b1", "chemistry"), 5, 5),
        (("parts", "f1", "spare"), 11, 22),
        (("readings", 2), 16, 3),
        (("parts", "b2"), 4, 3),
        ((), 2, 1),
    ],
)
def test_key_spot(loc: Loc, line: int, column: int) -> None:
    assert read_text(CASE, "f").key_spot(loc) == Spot("f", line, column)


@pytest.mark.parametrize(
    ("written", "offset", "column"),
    [
        ("30 A", 3, 7),
        ("'30 A'", 3, 8),
        ('"30 A"', 3, 8),
        ("'it''s 3'", 5, 11),
        ('"\\u00e9 3"', 2, 12),
        ('"\\x41\\U00000041\\n3"', 3, 21),
        ("30 A", 4, 8),
        ('"30 A"', 9, 9),
    ],
)
def test_inside_a_text_counts_what_stands_in_the_file(written: str, offset: int, column: int) -> None:
    assert read_text(f"a: {written}\n", "f").inside(("a",), offset) == Spot("f", 1, column)


@pytest.mark.parametrize("loc", [("parts", "b1", "log"), ("readings", 2), ("parts",), ("no",), ("last",)])
def test_inside_anything_else_is_its_start(loc: Loc) -> None:
    read_case = read_text(CASE, "f")
    assert read_case.inside(loc, 3) == read_case.spot(loc)


def test_columns_count_characters() -> None:
    assert read_text("🐦: é # ½\nb: [🐦🐦, x]\n", "f").spot(("b", 1)) == Spot("f", 2, 9)


def test_quoted() -> None:
    read_case = read_text(CASE, "f")
    assert read_case.quoted(("parts", "b1", "chemistry"))
    assert not read_case.quoted(("name",))
    with pytest.raises(KeyError):
        read_case.quoted(("gone",))


def test_span_holds_the_value_and_nothing_behind_it() -> None:
    assert at(("name",)) == "Reed hut"
    assert at(("parts", "b1", "note")) == '"warm \\u00e9 \\"to\\" touch"'
    assert at(("parts", "b1", "log")) == "|\n      quiet night\n      bitterns heard"
    assert at(("parts", "b1")).startswith("chemistry: 'LFP'\n")
    assert at(("parts", "b1")).endswith("bitterns heard")
    assert at(("parts", "f1", "marks")) == "[1, 2 # two\n    ]"
    assert at(("readings",)) == "- it''s plain\n-\n- over two\n  lines"
    assert at(("readings", 1)) == at(("last",)) == ""
    assert at(()) == CASE[CASE.index("name") :].rstrip()


def test_last_is_the_deepest_value_at_the_end_of_a_block() -> None:
    read_case = read_text(CASE, "f")
    assert read_case.last(()) == ("last",)
    assert read_case.last(("parts",)) == ("parts", "f1")
    assert read_case.last(("parts", "b1")) == ("parts", "b1", "log")
    assert read_case.last(("readings",)) == ("readings", 2)


@pytest.mark.parametrize("text", ["", "\n", "# nothing\n", "---\n", "--- # nothing\n...\n"])
def test_a_file_without_a_value_is_refused(text: str) -> None:
    assert message(text) == "f:1:1: expected names and values, found none"


def test_one_document_may_be_marked_as_such() -> None:
    assert read_text("---\na: 1\n...\n# end\n", "f").data == {"a": "1"}


@pytest.mark.parametrize("loader", [document.LOADER, yaml.SafeLoader], ids=["usual", "python"])
@pytest.mark.parametrize("text", ['a: "\\uD800"', 'a: "\\UFFFFFFFF"', '"\\uDFFF": a', "a: \ud800"])
def test_half_a_character_is_refused(text: str, loader: type, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(document, "LOADER", loader)
    assert "expected" in message(text)


def test_files(tmp_path: Path) -> None:
    def said(path: Path) -> str:
        with pytest.raises(Unusable) as caught:
            read(path)
        return str(caught.value).removeprefix(f"{path}:1:1: ")

    assert said(tmp_path / "gone.yaml") == "expected a file, found nothing of that name"
    assert said(tmp_path) == "expected a file, found a folder"
    os.mkfifo(tmp_path / "pipe")
    assert said(tmp_path / "pipe") == "expected a file, found something else"
    (tmp_path / "loop").symlink_to("loop")
    assert said(tmp_path / "loop") == "expected a file that can be read, found one that cannot"
    with pytest.raises(Unusable, match="expected a file that can be read, found one that cannot"):
        read(Path("a\0b"))


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "case.yaml"
    path.write_text("a: 1\n")

    def refuse(*_: object) -> None:
        raise PermissionError

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(Unusable, match="a file that may be read, found one that this user may not"):
        read(path)


def test_a_file_is_read_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "case.yaml"
    path.write_bytes("a: røyr\r\nb: 1\r\n".encode())
    read_case = read(path)
    assert (read_case.file, read_case.text) == (str(path), "a: røyr\r\nb: 1\r\n")
    assert read_case.spot(("b",)) == Spot(str(path), 2, 4)


def test_the_largest_file(tmp_path: Path) -> None:
    path = tmp_path / "case.yaml"
    path.write_bytes(b"a: 1\n#".ljust(LARGEST, b"x"))
    assert read(path).data == {"a": "1"}
    path.write_bytes(b"a: 1\n#".ljust(LARGEST + 1, b"x"))
    with pytest.raises(Unusable, match="expected at most 2 MiB, found a larger file"):
        read(path)
    path.write_text("é" * LARGEST, "utf-8")  # the limit falls inside a character
    with pytest.raises(Unusable, match="expected at most 2 MiB, found a larger file"):
        read(path)
    assert message("a: é\n#".ljust(LARGEST, "x")) == "f:1:1: expected at most 2 MiB, found a larger file"


@settings(max_examples=300)
@given(st.binary(max_size=60) | st.text(max_size=60).map(str.encode))
def test_bytes_are_read_or_refused(tmp_path_factory: pytest.TempPathFactory, raw: bytes) -> None:
    path = tmp_path_factory.getbasetemp() / "bytes.yaml"
    path.write_bytes(raw)
    try:
        read(path)
    except Unusable as unusable:
        assert unusable.problems


@settings(max_examples=500)
@given(st.text(st.sampled_from("ab1 \n:-,[]{}#'\""), max_size=40))
def test_what_is_read_is_what_a_plain_yaml_reader_reads(text: str) -> None:
    """Outside check: PyYAML's BaseLoader, which composes nodes and makes every scalar text."""
    try:
        data = read_text(text, "f").data
    except Unusable:
        return
    assert without_none(data) == yaml.load(text, yaml.BaseLoader)


def without_none(data: Data) -> object:
    if isinstance(data, dict):
        return {name: without_none(value) for name, value in data.items()}
    if isinstance(data, list):
        return [without_none(value) for value in data]
    return data or ""
