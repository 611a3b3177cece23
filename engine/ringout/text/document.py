"""The strict reader: a YAML file as plain names, lists and texts, each with its place in the file.

Every scalar stays the text that was written: YAML's own guesses (`no` as false, `1:30` as 90, `0123` as 83)
have no place where a rating or a reading is meant. Names given twice, anchors, tags and all else that makes a
file mean more than it shows are refused.
"""

import re
import stat
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

import yaml

from ringout.shipped import elsewhere, rules_root
from ringout.text.compose import Composer, Data, Form, Place
from ringout.text.problem import Loc, Problem, Spot, Unusable
from ringout.text.syntax import Mark

LARGEST = 2 * 1024 * 1024
"""Bytes in a file: a case of thousands of parts takes a tenth of it."""

LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
"""The parser in C where PyYAML was built with it; the one in Python says the same, ten times slower."""

_REFUSED = re.compile(
    "[^\t\n\r\x20-\x7e\xa0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]"
)
_LINE_END = re.compile("\r\n|\r|\n")
_WRITTEN = {  # what stands for one character of a quoted text
    "'": re.compile("''|."),
    '"': re.compile(r"\\x..|\\u.{4}|\\U.{8}|\\.|."),
}


@dataclass(frozen=True, slots=True)
class Document:
    """A file that was read without a problem: what it says, and where each value of it stands."""

    file: str
    text: str
    data: Data
    places: Mapping[Loc, Place]

    def spot(self, loc: Loc) -> Spot:
        """Where a value starts; for one that is not there, where the nearest thing around it starts."""
        return self._spot(self._nearest(loc).start)

    def key_spot(self, loc: Loc) -> Spot:
        """Where a value's name starts; without a name (in a list, at the top, not there) as `spot`."""
        place = self._nearest(loc)
        return self._spot(place.name_start if loc in self.places and place.name_start else place.start)

    def inside(self, loc: Loc, offset: int) -> Spot:
        """Where the character `offset` (from 0) of a text on one line stands; of other values, the start."""
        place = self._nearest(loc)
        start = place.start
        on_one_line = place.form in (Form.PLAIN, Form.QUOTED) and start.line == place.end.line
        if loc not in self.places or not on_one_line:
            return self._spot(start)
        written = offset
        if place.form is Form.QUOTED:
            pattern = _WRITTEN[self.text[start.index]]
            pieces = pattern.finditer(self.text, start.index + 1, place.end.index - 1)
            written = 1 + sum(len(piece.group()) for piece in islice(pieces, offset))
        return Spot(self.file, start.line + 1, start.column + 1 + written)

    def quoted(self, loc: Loc) -> bool:
        """Whether a text stands in quotes. KeyError if there is no such value."""
        return self.places[loc].form is Form.QUOTED

    def span(self, loc: Loc) -> tuple[int, int]:
        """First and past-last index in `text` of a value as written, without what follows on its last line.

        KeyError if there is no such value.
        """
        start = self.places[loc].start.index
        last = self.places[self.last(loc)]
        end = last.end.index
        if last.form is Form.LINES:  # the parser counts the blank lines after it in
            end = len(self.text[:end].rstrip())
        return start, end

    def last(self, loc: Loc) -> Loc:
        """The last value that stands inside a block, at any depth; of other values, the value itself."""
        while self.places[loc].form is Form.BLOCK:
            held = self.at(loc)
            loc = (*loc, len(held) - 1 if isinstance(held, list) else next(reversed(held)))
        return loc

    def at(self, loc: Loc) -> Any:
        """The value itself. KeyError, IndexError or TypeError if there is no such value."""
        value: Any = self.data
        for step in loc:
            value = value[step]
        return value

    def _nearest(self, loc: Loc) -> Place:
        while loc not in self.places:
            loc = loc[:-1]
        return self.places[loc]

    def _spot(self, mark: Mark) -> Spot:
        return Spot(self.file, mark.line + 1, mark.column + 1)


class NamedTwice(Unusable):
    """Names were given twice and nothing worse: the rest can be looked through for more mistakes.

    `document` holds the later value of each such name; it is good for finding mistakes and nothing else.
    """

    def __init__(self, problems: Iterable[Problem], document: Document) -> None:
        super().__init__(problems)
        self.document = document


def read(path: Path) -> Document:
    """Read a file in UTF-8. Raises `Unusable` with every problem found."""
    file = _name(path)
    try:
        mode = path.stat().st_mode
        if not stat.S_ISREG(mode):  # reading a pipe or a device could wait for ever
            raise _whole_file(file, "a file", "a folder" if stat.S_ISDIR(mode) else "something else")
        with path.open("rb") as stream:
            raw = stream.read(LARGEST + 1)
    except FileNotFoundError:
        raise _whole_file(file, "a file", "nothing of that name") from None
    except PermissionError:
        raise _whole_file(file, "a file that may be read", "one that this user may not read") from None
    except (OSError, ValueError):  # ValueError: a name that no file can have
        raise _whole_file(file, "a file that can be read", "one that cannot") from None
    if len(raw) > LARGEST:
        raise _too_large(file)
    try:
        text = raw.decode("utf-8")
    except UnicodeDecodeError as error:
        before = raw[: error.start].decode("utf-8")
        spot = _spot_after(file, before)
        found = f"the byte {raw[error.start]:#04x}"
        raise Unusable([Problem(spot, "", "text in UTF-8", found, "save the file as UTF-8")]) from None
    return read_text(text, file)


def _name(path: Path) -> str:
    """The file as people know it: one of the shipped knowledge by its place in it, whatever the machine."""
    if elsewhere() is not None:
        return str(path)
    knowledge = rules_root()
    return f"rules/{path.relative_to(knowledge).as_posix()}" if path.is_relative_to(knowledge) else str(path)


def read_text(text: str, name: str) -> Document:
    """Read a text; `name` stands for the file in messages. Raises `Unusable` with every problem found."""
    refused = _REFUSED.search(text)
    if refused:
        spot = _spot_after(name, text[: refused.start()])
        mark = refused.group() == "\ufeff"
        found = "a byte order mark" if mark else f"the character U+{ord(refused.group()):04X}"
        hint = "save the file as UTF-8 without it" if mark else ""
        raise Unusable([Problem(spot, "", "printable characters only", found, hint)])
    if len(text.encode()) > LARGEST:
        raise _too_large(name)
    composer = Composer(name, text)
    composer.follow(yaml.parse(text, Loader=LOADER))
    if not composer.problems and composer.data is None:
        raise _whole_file(name, "names and values", "none")
    document = Document(name, text, composer.data, composer.places)
    if composer.problems and composer.readable:
        raise NamedTwice(composer.problems, document)
    if composer.problems:
        raise Unusable(composer.problems)
    return document


def _spot_after(file: str, before: str) -> Spot:
    lines = _LINE_END.split(before)
    return Spot(file, len(lines), len(lines[-1]) + 1)


def _whole_file(file: str, expected: str, found: str) -> Unusable:
    return Unusable([Problem(Spot(file, 1, 1), "", expected, found)])


def _too_large(file: str) -> Unusable:
    return _whole_file(file, f"at most {LARGEST // 1024**2} MiB", "a larger file")
