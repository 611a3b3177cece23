"""A case file with every name that its writer chose replaced by another, wherever the file uses it.

Names are those of parts, places and runs (one list: no two may share a name), of the inputs of changeovers, of
readings, sets of readings and complaints. The names of kinds, fields, words and states are the format's own and stay.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import yaml

from ringout.case.form import form, part_kinds, sheet

Data = Any
Names = dict[str, dict[str, str]]
"""Sort of name -> name -> the new one."""

SORTS = {"part": "p", "input": "i", "reading": "r", "set": "s", "complaint": "c"}
"""Sorts of names with the letter that their new names begin with."""
WIDTH = 4
TOKEN = re.compile(rf"[{''.join(SORTS.values())}]zq[a-z0-9]{{{WIDTH}}}")
"""A new name, told from every word of a rule."""
_WORD = re.compile(r"([A-Za-z][A-Za-z0-9_]*)((?:\.[A-Za-z][A-Za-z0-9_]*)?)")


def read(path: Path) -> Data:
    """The data of a case file, every scalar as its text."""
    return yaml.load(path.read_text("utf-8"), yaml.BaseLoader)


def text(data: Data) -> str:
    """The text of a file that says the data."""
    made: str = yaml.dump(data, sort_keys=False, allow_unicode=True, width=100_000)
    return made


# -- the names that a file uses ------------------------------------------------------------------------------


def names(data: Data) -> dict[str, list[str]]:
    """Every name that the writer of a case chose, by sort, in order of the alphabet."""
    parts = _parts(data)
    lines = [*data.get("dc", ()), *data.get("ac", ())]
    runs = [line["name"] for line in lines if isinstance(line, dict) and "name" in line]
    readings = data.get("readings", {})
    inputs = {word[1] for line in data.get("ac", ()) for word in _inputs(_chain(line), parts)}
    found = {
        "part": {*parts, *data.get("places", ()), *runs},
        "input": inputs,
        "reading": {*readings},
        "set": {each["set"] for each in readings.values() if "set" in each},
        "complaint": {*data.get("complaints", ())},
    }
    return {sort: sorted(each) for sort, each in found.items()}


def _parts(data: Data) -> dict[str, Data]:
    """All parts, also those that a change brings in."""
    found = dict(data.get("parts", {}))
    for changed in data.get("changed", ()):
        found |= changed.get("add", {}).get("parts", {})
    return found


def _chain(line: Data) -> str:
    """The chain of a line in any of its forms."""
    if isinstance(line, str):
        return line
    return str(line["feed"] if "feed" in line else line["run"] if "run" in line else next(iter(line)))


def _inputs(chain: str, parts: Mapping[str, Data]) -> list[tuple[str, str]]:
    """The inputs of changeovers that a chain names."""
    words = [(part, port[1:]) for part, port in _WORD.findall(chain) if port]
    return [(part, port) for part, port in words if _selects(parts.get(part)) and port not in form("changeover").ports]


def _selects(part: Data) -> bool:
    return part is not None and part.get("kind") in part_kinds() and "changeover" in form(part["kind"]).roles


# -- new names -----------------------------------------------------------------------------------------------


def by_number(found: Mapping[str, list[str]]) -> Names:
    """New names in figures that keep the order of the old ones."""
    return _made(found, lambda n: f"{n:0{WIDTH}d}")


def by_letter(found: Mapping[str, list[str]]) -> Names:
    """New names in letters, as long as those in figures, that keep the order of the old ones."""
    places = range(WIDTH - 1, -1, -1)
    return _made(found, lambda n: "".join(chr(ord("a") + (3 * n + 1) // 26**place % 26) for place in places))


def shuffled(found: Mapping[str, list[str]], by: random.Random) -> Names:
    """New names in figures, in any order."""
    return by_number({sort: by.sample(each, len(each)) for sort, each in found.items()})


def _made(found: Mapping[str, list[str]], number: Callable[[int], str]) -> Names:
    return {
        sort: {name: f"{SORTS[sort]}zq{number(n)}" for n, name in enumerate(each)} for sort, each in found.items()
    }


def back(made: str, new: Names) -> str:
    """A text with the new names replaced by their sort and old name."""
    old = {token: f"<{sort} {name}>" for sort, each in new.items() for name, token in each.items()}
    return TOKEN.sub(lambda match: old[match[0]], made)


# -- the file with new names ---------------------------------------------------------------------------------


def renamed(data: Data, new: Names) -> Data:
    """The data of a case with new names."""
    return _Renamer(data, new).case(data)


class _Renamer:
    def __init__(self, data: Data, new: Names) -> None:
        self.all, self.new = _parts(data), new

    def part(self, name: str) -> str:
        """A part, place or run; a word that is none of them stays."""
        return self.new["part"].get(name, name)

    def words(self, text: str) -> str:
        """Names with or without a port, wherever they stand in a chain, a run's id, or a list of terminals."""

        def one(match: re.Match[str]) -> str:
            name, port = match[1], match[2][1:]
            if port and _selects(self.all.get(name)):
                port = self.new["input"].get(port, port)
            return self.part(name) + (f".{port}" if port else "")

        return _WORD.sub(one, text)

    def listed(self, value: Data) -> Data:
        return [self.words(each) for each in value] if isinstance(value, list) else self.words(value)

    def path(self, path: str) -> str:
        """``b1.chemistry``, or a run's id and a field: only what stands before the field is a name."""
        name, dot, key = path.rpartition(".")
        return f"{self.words(name)}{dot}{key}" if dot else self.words(path)

    def line(self, line: Data) -> Data:
        if isinstance(line, str):
            return self.words(line)
        if "run" in line or "feed" in line:
            said = dict(line)
            for key in ("run", "feed", "name"):
                if key in said:
                    said[key] = self.words(said[key])
            return said
        ((chain, behind),) = line.items()
        return {self.words(chain): behind}

    def fields(self, kind: str, said: Data) -> Data:
        its = form(kind).fields if kind in part_kinds() else sheet(kind).fields
        made = {}
        for key, value in said.items():
            field = its.get(key)
            names = field is not None and field.parts
            made[key] = self.listed(value) if names else self.part(value) if key in ("place", "within") else value
        return made

    def parts(self, parts: Data) -> Data:
        return {self.part(name): self.fields(said["kind"], said) for name, said in parts.items()}

    def reading(self, said: Data) -> Data:
        made = dict(said)
        for key in ("of", "points", "loads"):
            if key in made:
                made[key] = self.listed(made[key])
        if "set" in made:
            made["set"] = self.new["set"][made["set"]]
        if "repeats" in made:
            made["repeats"] = self.new["reading"][made["repeats"]]
        return made

    def changed(self, said: Data) -> Data:
        made = dict(said)
        if "remove" in made:
            made["remove"] = self.listed(made["remove"])
        if "move" in made:
            made["move"] = {self.words(part): self.words(to) for part, to in made["move"].items()}
        if "set" in made:
            made["set"] = {self.path(about): value for about, value in made["set"].items()}
        if "add" in made:
            made["add"] = self.case(made["add"])
        return made

    def case(self, data: Data) -> Data:
        each: dict[str, Callable[[Data], Data]] = {
            "parts": self.parts,
            "alike": lambda groups: [self.listed(group) for group in groups],
            "dc": lambda lines: [self.line(line) for line in lines],
            "ac": lambda lines: [self.line(line) for line in lines],
            "places": lambda said: {self.part(name): self.fields("place", place) for name, place in said.items()},
            "distances": lambda said: {" to ".join(map(self.part, key.split(" to "))): v for key, v in said.items()},
            "readings": lambda said: {self.new["reading"][name]: self.reading(one) for name, one in said.items()},
            "complaints": lambda said: {self.new["complaint"][name]: one for name, one in said.items()},
            "answers": lambda said: [{**one, "about": self.path(one["about"])} for one in said],
            "photos": lambda said: [{**one, "of": self.listed(one["of"])} if "of" in one else one for one in said],
            "changed": lambda said: [self.changed(one) for one in said],
        }
        return {key: each[key](value) if key in each else value for key, value in data.items()}
