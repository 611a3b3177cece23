"""From the parser's events to plain data, a place for every value, and a problem for all that is refused.

The events are followed one by one with a list of what is open, not by recursion, and references are never
followed: a file made to exhaust the reader is given up at the first limit it passes.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import Enum, auto
from typing import Any, NamedTuple, TypeAlias

import yaml

from ringout.text.problem import Loc, Problem, Spot, dotted, shown
from ringout.text.syntax import Mark, in_plain_words

Data: TypeAlias = "dict[str, Data] | list[Data] | str | None"
"""What a file holds: every scalar is the text as written, an empty value is None."""

DEEPEST = 32
MOST_VALUES = 200_000
MOST_PROBLEMS = 100
"""Told at once; nobody reads on, and a hostile file could hold as many as it has values."""

_HALF = re.compile("[\ud800-\udfff]")  # half of a pair: no character by itself


class Form(Enum):
    """How a value is written."""

    EMPTY = auto()  # nothing after the colon or dash
    PLAIN = auto()
    QUOTED = auto()
    LINES = auto()  # text on lines of its own, after | or >
    BLOCK = auto()  # a mapping or list by indentation
    FLOW = auto()  # a mapping or list in brackets


class Place(NamedTuple):
    """Where a value stands. The end of a BLOCK means nothing: the parser sees it only at what comes next."""

    form: Form
    start: Mark
    end: Mark
    name_start: Mark | None
    name_end: Mark | None


@dataclass(slots=True)
class _Open:
    """A mapping or list whose end has not come yet."""

    loc: Loc
    held: "dict[str, Data] | list[Data]"
    start: Mark
    flow: bool
    name: str = ""
    name_start: Mark | None = None  # None in a mapping: a name comes next
    name_end: Mark | None = None
    names: dict[str, Mark] = field(default_factory=dict)


class Composer:
    """Follows the events of one text. Afterwards `data` and `places` are good only if it is `readable`."""

    def __init__(self, file: str, text: str) -> None:
        self.problems: list[Problem] = []
        self.repeats = 0
        self.places: dict[Loc, Place] = {}
        self.data: Data = None
        self._file = file
        self._text = text
        self._open: list[_Open] = []

    @property
    def readable(self) -> bool:
        """Whether the text was followed to its end with no worse problem than names given twice."""
        return len(self.problems) == self.repeats and not self._open

    def follow(self, events: Iterable[Any]) -> None:
        """Take in all events, or those before the first syntax error, passed limit or hundredth problem."""
        values = documents = 0
        last: Mark = yaml.Mark("", 0, 0, 0, None, 0)
        try:
            for event in events:
                if len(self.problems) >= MOST_PROBLEMS:
                    return
                start, last = event.start_mark, event.end_mark
                if isinstance(event, yaml.NodeEvent):
                    values += 1
                    if values > MOST_VALUES:
                        self._refuse(start, (), f"at most {MOST_VALUES:,} names and values in a file", "more")
                        return
                    if len(self._open) == DEEPEST and isinstance(event, yaml.CollectionStartEvent):
                        self._refuse_depth(start)
                        return
                    self._node(event)
                elif isinstance(event, yaml.CollectionEndEvent):
                    self._close(last)
                elif isinstance(event, yaml.DocumentStartEvent):
                    documents += 1
                    if documents > 1:
                        found = "the start of a second one"
                        self._refuse(start, (), "one document in a file", found)
                        return
                    if event.version or event.tags:
                        found = "a line that starts with '%'"
                        self._refuse(start, (), "plain YAML without directives", found)
        except (ValueError, OverflowError):  # how the parser in Python meets "\UFFFFFFFF"
            self._refuse_code(last, ())
        except yaml.MarkedYAMLError as error:
            self._refuse_syntax(error)

    def _node(self, event: Any) -> None:
        parent = self._open[-1] if self._open else None
        if parent is None:
            loc: Loc = ()
        elif isinstance(parent.held, list):
            loc = (*parent.loc, len(parent.held))
        elif parent.name_start is None:
            self._name(parent, event)
            return
        else:
            loc = (*parent.loc, parent.name)
        if event.anchor or event.tag:
            self._refuse_extras(event, loc)
        start, end = event.start_mark, event.end_mark
        data, form = _value(event)
        if form is Form.QUOTED and _HALF.search(event.value):
            self._refuse_code(start, loc)
        if parent is None:
            self.places[loc] = Place(form, start, end, None, None)
            self.data = data
        else:
            self.places[loc] = Place(form, start, end, parent.name_start, parent.name_end)
            if isinstance(parent.held, list):
                parent.held.append(data)
            else:
                parent.held[parent.name] = data
                parent.name_start = None
        if isinstance(data, dict | list):
            self._open.append(_Open(loc, data, start, form is Form.FLOW))

    def _name(self, parent: _Open, event: Any) -> None:
        """Take a node that stands where a mapping's next name should."""
        start, end = event.start_mark, event.end_mark
        parent.name = event.value if isinstance(event, yaml.ScalarEvent) else "?"
        parent.name_start, parent.name_end = start, end
        loc = (*parent.loc, parent.name)
        if event.anchor or event.tag:
            self._refuse_extras(event, loc)
        if isinstance(event, yaml.CollectionStartEvent):
            self._refuse(start, parent.loc, "a plain name before the colon", "a mapping or list")
            held: dict[str, Data] | list[Data] = [] if isinstance(event, yaml.SequenceStartEvent) else {}
            self._open.append(_Open(loc, held, start, bool(event.flow_style)))
        elif isinstance(event, yaml.ScalarEvent):
            first = parent.names.setdefault(parent.name, start)
            if not event.style and not parent.name:
                self._refuse(start, parent.loc, "a name before the colon", "none")
            elif not event.style and parent.name == "<<":
                hint = "write the values out where they are meant"
                self._refuse(start, loc, "a plain value", "a merge ('<<')", hint)
            elif first is not start:
                hint = f"the first is at line {first.line + 1}, column {first.column + 1}"
                self.repeats += 1
                self._refuse(start, loc, "each name once", f"{shown(parent.name)} a second time", hint)
            elif _HALF.search(parent.name):
                self._refuse_code(start, loc)

    def _close(self, end: Mark) -> None:
        closed = self._open.pop()
        if closed.flow and closed.loc in self.places:  # a mapping in place of a name has no place
            self.places[closed.loc] = self.places[closed.loc]._replace(end=end)

    def _refuse_extras(self, event: Any, loc: Loc) -> None:
        """Anchors, references and tags: each makes a file mean something other than what stands there."""
        start = event.start_mark
        if isinstance(event, yaml.AliasEvent):
            hint = "write the value out; put a text that starts with '*' in quotes"
            self._refuse(start, loc, "a plain value", f"a reference (*{event.anchor})", hint)
        elif event.anchor:
            hint = "write the value out where it is meant; put a text that starts with '&' in quotes"
            self._refuse(start, loc, "a plain value", f"an anchor (&{event.anchor})", hint)
        else:
            tag = self._text[start.index :].split(maxsplit=1)[0]
            hint = "leave it out; put a text that starts with '!' in quotes"
            self._refuse(start, loc, "a plain value", f"a tag ({shown(tag)})", hint)

    def _refuse_syntax(self, error: Any) -> None:
        if "maximum nesting depth" in str(error.problem):  # the parser's own limit, met while it looks ahead
            self._refuse_depth(error.problem_mark)
        else:
            inner = self._open[-1] if self._open else None
            bracket = inner.start if inner and inner.flow else None
            self.problems.append(in_plain_words(error, self._file, self._text, bracket))

    def _refuse_depth(self, mark: Mark) -> None:
        self._refuse(mark, (), f"at most {DEEPEST} levels of mappings and lists in each other", "more")

    def _refuse_code(self, mark: Mark, loc: Loc) -> None:
        self._refuse(mark, loc, "character codes that exist", "a code of no character")

    def _refuse(self, mark: Mark, loc: Loc, expected: str, found: str, hint: str = "") -> None:
        spot = Spot(self._file, mark.line + 1, mark.column + 1)
        self.problems.append(Problem(spot, dotted(loc), expected, found, hint))


def _value(event: Any) -> tuple[Data, Form]:
    """The plain value an event starts or is, and how it is written. A reference (refused) counts as empty."""
    if isinstance(event, yaml.ScalarEvent):
        text: str = event.value
        if not event.style:
            return (text, Form.PLAIN) if text else (None, Form.EMPTY)
        return text, Form.LINES if event.style in "|>" else Form.QUOTED
    if isinstance(event, yaml.CollectionStartEvent):
        held: Data = [] if isinstance(event, yaml.SequenceStartEvent) else {}
        return held, Form.FLOW if event.flow_style else Form.BLOCK
    return None, Form.EMPTY
