"""The careful editor: one change to a YAML file as it is written, every other byte left alone.

Values are given as they are to stand in the file, on one line (`quote` makes that of any text). After each
change the new text is read again and must say exactly what the old one said but for the change. If it does
not, or if what is asked for cannot be done, ValueError; if the old text cannot be read, Unusable.
"""

import os
import re
import secrets
from pathlib import Path
from typing import Any

from ringout.text.compose import Data, Form
from ringout.text.document import Document, read_text
from ringout.text.problem import Loc, Unusable, dotted, shown

STEP = "  "
"""Indentation of a mapping or list that the editor begins."""

_PLAIN = re.compile(
    # first no sign that starts something else in YAML; a minus only before a digit
    r"(?:-(?=\d)|[^\s\-:#?,\[\]{}&*!|>'\"%@`])"
    # then a colon only inside a word, a number sign only behind something, single spaces only between words
    r"(?:[^\s:#?,\[\]{}]|:(?=[\w/.+-])|(?<=\S)#| (?=[^\s#]))*"
)
_NAMED_CODES = {"\n": "\\n", "\t": "\\t", '"': '\\"', "\\": "\\\\"}


def quote(text: str) -> str:
    """A text as it stands in a file, on one line: plain where it reads back as it is, else in double quotes.

    ValueError for half of a surrogate pair, which no file can hold.
    """
    if text.isprintable() and _PLAIN.fullmatch(text) and not text.startswith(("...", "<<")):
        return text
    if re.search("[\ud800-\udfff]", text):
        raise ValueError(f"no file can hold {shown(text)}")
    return '"' + "".join(_NAMED_CODES.get(c) or (c if c.isprintable() else _code(c)) for c in text) + '"'


def set_value(text: str, loc: Loc, value: str) -> str:
    """The text with another value at `loc`. A comment behind the old value stays, one inside it goes."""
    document = _read(text, loc)
    return _checked(_replaced(document, loc, value), _with(document.data, loc, _meaning(value)))


def add_entry(text: str, loc: Loc, key: str, value: str) -> str:
    """The text with one more entry at the end of the mapping at `loc`.

    An empty value or `{}` becomes a mapping; a mapping missing at the top of the file is begun at its end.
    """
    document = read_text(text, "")
    held = _held(document, loc, {})
    if key in held:
        raise ValueError(f"{dotted((*loc, key))} is there already")
    entry = f"{quote(key)}: {value}"
    changed = _appended(document, loc, "{" + entry + "}", entry, entry)
    return _checked(changed, _with(document.data, loc, {**held, key: _meaning(value)}))


def add_item(text: str, loc: Loc, value: str) -> str:
    """The text with one more item at the end of the list at `loc`; no or an empty list as in `add_entry`."""
    document = read_text(text, "")
    held = _held(document, loc, [])
    changed = _appended(document, loc, "[" + value + "]", value, f"- {value}")
    return _checked(changed, _with(document.data, loc, [*held, _meaning(value)]))


def remove(text: str, loc: Loc) -> str:
    """The text without the entry or item at `loc`, the comment on its last line and those indented under it.

    What held it stays: without its last entry as `{}`, without its last item as `[]`.
    """
    document = _read(text, loc)
    if not loc:
        raise ValueError("the whole file cannot be removed from itself")
    parent, step = loc[:-1], loc[-1]
    held = document.at(parent)
    kept: Data
    if isinstance(held, list):
        kept = [item for place, item in enumerate(held) if place != step]
    else:
        kept = {name: value for name, value in held.items() if name != step}
    if not kept:
        changed = _replaced(document, parent, str(kept))
    elif document.places[parent].form is Form.FLOW:
        changed = _cut_from_flow(document, loc)
    else:
        changed = _cut_from_block(document, loc)
    return _checked(changed, _with(document.data, parent, kept))


def write_whole(path: Path, text: str) -> None:
    """Put `text` into the file, whole or not at all: a crash leaves the old file or the new one, no part.

    Keeps the mode of the old file and follows links. OSError if the folder cannot be written to.
    """
    target = path.resolve()
    partial = target.with_name(f".{target.name}.{secrets.token_hex(4)}")
    try:
        with partial.open("xb") as stream:
            if target.exists():
                partial.chmod(target.stat().st_mode & 0o7777)
            stream.write(text.encode())
            stream.flush()
            os.fsync(stream.fileno())
        partial.replace(target)
    except BaseException:
        partial.unlink(missing_ok=True)
        raise


def _code(character: str) -> str:
    number = ord(character)
    if number <= 0xFF:
        return f"\\x{number:02X}"
    return f"\\u{number:04X}" if number <= 0xFFFF else f"\\U{number:08X}"


def _read(text: str, loc: Loc) -> Document:
    document = read_text(text, "")
    if loc not in document.places:
        raise ValueError(f"there is no {dotted(loc)}")
    return document


def _meaning(value: str) -> Data:
    """What a value given for the file says."""
    try:
        read = read_text(f"- {value}", "").data
    except Unusable:
        read = None
    if not isinstance(read, list) or len(read) != 1 or "\n" in value or "\r" in value:
        raise ValueError(f"{shown(value)} is not one value on one line")
    return read[0]


def _held(document: Document, loc: Loc, empty: Any) -> Any:
    """The mapping or list at `loc`; where there is no value or, at the top, no name, `empty` of that type."""
    if loc not in document.places and len(loc) == 1 and isinstance(document.data, dict):
        return empty
    held = document.at(loc) if loc in document.places else ()
    if held is not None and not isinstance(held, type(empty)):
        raise ValueError(f"there is no {'list' if empty == [] else 'mapping'} {dotted(loc)}")
    return held or empty


def _with(data: Any, loc: Loc, value: Data) -> Data:
    """The data with one value changed or added; the data given stays as it is."""
    if not loc:
        return value
    copy = data.copy()
    copy[loc[0]] = value if len(loc) == 1 else _with(copy[loc[0]], loc[1:], value)
    changed: Data = copy
    return changed


def _checked(text: str, expected: Data) -> str:
    try:
        said: Data = read_text(text, "").data
    except Unusable:
        said = None
    if said != expected:
        raise ValueError("the file is written in a way in which this change would disturb other values")
    return text


def _end(document: Document, loc: Loc) -> int:
    """Index past a value; past its colon, name or dash if the value is empty."""
    place = document.places[loc]
    if place.form is not Form.EMPTY or place.name_end is None:
        return document.span(loc)[1]
    colon = document.text.find(":", place.name_end.index, place.end.index)
    return place.name_end.index if colon < 0 else colon + 1


def _replaced(document: Document, loc: Loc, value: str) -> str:
    text, place = document.text, document.places[loc]
    start, end = document.span(loc)
    if place.form is Form.EMPTY:
        end = _end(document, loc)
        lacks_colon = place.name_end is not None and end == place.name_end.index
        return text[:end] + (": " if lacks_colon else " ") + value + text[end:]
    if place.form is Form.BLOCK and place.name_end is not None:
        # the block stands on lines of its own: the value goes behind the colon, the lines go
        colon = text.index(":", place.name_end.index) + 1
        first_line = start - place.start.column
        return text[:colon] + " " + value + text[colon:first_line] + text[_next_line(text, end) :]
    return text[:start] + value + text[end:]


def _appended(document: Document, loc: Loc, whole: str, flow: str, block: str) -> str:
    """The text with one thing more, given as it stands alone, in brackets, and on a line of its own."""
    text, newline = document.text, "\r\n" if "\r\n" in document.text else "\n"
    if loc not in document.places:
        name = quote(str(loc[0]))
        return _appended(document, (), "", f"{name}: {whole}", f"{name}:{newline}{STEP}{block}")
    place = document.places[loc]
    start, end = document.span(loc)
    inside_flow = bool(loc) and document.places[loc[:-1]].form is Form.FLOW
    if not document.at(loc):
        if place.form is Form.EMPTY and inside_flow:
            return _replaced(document, loc, whole)
        if inside_flow or text[start + 1 : end - 1].strip():  # brackets that hold a comment keep it
            return text[: start + 1] + flow + text[start + 1 :]
        if place.name_start is None or place.name_end is None:  # behind a dash or at the top
            return _replaced(document, loc, block)
        colon = text.index(":", place.name_end.index) + 1
        before = text[:colon] + text[colon:start].rstrip()
        line_end = _line_end(text, end)
        indent = " " * place.name_start.column + STEP
        return before + text[end:line_end] + newline + indent + block + text[line_end:]
    if place.form is Form.FLOW:
        held = document.at(loc)
        last = len(held) - 1 if isinstance(held, list) else next(reversed(held))
        end = _end(document, (*loc, last))
        comma = " , " if text[end - 1] == ":" else ", "  # in brackets a colon needs a space behind it
        return text[:end] + comma + flow + text[end:]
    line = " " * place.start.column + block
    leaf = document.places[document.last(loc)]
    if leaf.form is Form.LINES and "+" in text[leaf.start.index : _line_end(text, leaf.start.index)]:
        after = leaf.end.index  # the blank lines after it are part of this text
        return text[:after] + line + newline + text[after:]
    line_end = _line_end(text, end)
    return text[:line_end] + newline + line + text[line_end:]


def _cut_from_flow(document: Document, loc: Loc) -> str:
    text, parent = document.text, loc[:-1]
    held = document.at(parent)
    steps: list[str | int] = list(range(len(held))) if isinstance(held, list) else list(held)
    position = steps.index(loc[-1])
    start, end = _start(document, loc), _end(document, loc)
    if position + 1 < len(steps):
        return text[:start] + text[_start(document, (*parent, steps[position + 1])) :]
    before = _end(document, (*parent, steps[position - 1]))
    if re.fullmatch(r"\s*,\s*", text[before:start]):
        before += text[before - 1] == ":"  # in brackets a colon needs a space behind it
        return text[:before] + text[end:]
    comma = re.compile(r"\s*,").match(text, end)  # a comment stands before it and stays
    return text[:start] + text[comma.end() if comma else end :]


def _cut_from_block(document: Document, loc: Loc) -> str:
    text = document.text
    start, end = _start(document, loc), _end(document, loc)
    column = document.places[loc[:-1]].start.column
    first_line = start - column
    if not text[first_line:start].strip():
        return text[:first_line] + text[_past_own_lines(text, _next_line(text, end), column) :]
    rest = text[_line_end(text, end) :]  # the entry shares its line with a dash: the next one moves up to it
    return text[:start] + rest.lstrip()


def _past_own_lines(text: str, index: int, column: int) -> int:
    """Index past the comments and blanks that stand further in than `column`, and so belong to what is above.

    Left behind, they could become part of a text on lines further up.
    """
    past = index
    for line in text[index:].splitlines(keepends=True):
        index += len(line)
        comment = line.lstrip()
        if comment and not comment.startswith("#"):
            break
        if len(line) - len(line.lstrip(" ")) > column:
            past = index
        elif comment:
            break
    return past


def _start(document: Document, loc: Loc) -> int:
    """Index where an entry starts with its name, an item in a block with its dash."""
    place, parent = document.places[loc], document.places[loc[:-1]]
    position = loc[-1]
    if place.name_start is not None:
        return place.name_start.index
    if parent.form is Form.FLOW or not isinstance(position, int):
        return place.start.index
    if position == 0:
        return parent.start.index
    before = _end(document, (*loc[:-1], position - 1))
    indent = parent.start.column
    dash = re.compile(rf"^ {{{indent}}}-", re.MULTILINE).search(document.text, before)
    return dash.end() - 1 if dash else place.start.index


def _line_end(text: str, index: int) -> int:
    """Index of the end of the line, before its line break."""
    found = re.compile("[\r\n]").search(text, index)
    return found.start() if found else len(text)


def _next_line(text: str, index: int) -> int:
    found = re.compile("\r\n|\r|\n").search(text, index)
    return found.end() if found else len(text)
