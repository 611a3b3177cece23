"""Values that no case states (`rules/tables/physics.yaml`, `chemistry.yaml`), as leaves with sources."""

from __future__ import annotations

from pydantic import Field as Key
from pydantic import RootModel

from ringout.kept import kept, remembered
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.notation import NotUnderstood, parse
from ringout.quantity.span import Span
from ringout.quantity.traced import Point, Traced
from ringout.shipped import rules_root
from ringout.text.checked import Strict, problem, validate
from ringout.text.document import Document, read
from ringout.text.problem import Loc, Spot, Unusable

FILES = ("physics", "chemistry", "fuse")
"""The tables read here, by the names of their files."""


class _Entry(Strict):
    quantity: str = ""
    number: str = ""
    unit: str = ""
    value: str = ""
    source: str
    by: dict[str, str] = Key(default_factory=dict)


class _File(RootModel[dict[str, _Entry]]):
    pass


@remembered
def constant(name: str) -> Leaf:
    """A value of `physics.yaml` as a leaf ``tables.<name>``; shared by everything that uses it."""
    return _tables()["physics"][name][""]


def by_chemistry(name: str, chemistry: Leaf) -> Traced:
    """A value of `chemistry.yaml` for a chemistry that may be one of several."""
    return by_word("chemistry", name, chemistry)


def by_word(file: str, name: str, chooser: Leaf) -> Traced:
    """A value of a table that goes by a word which may be one of several."""
    table = _tables()[file][name]
    words = tuple(table)

    def pick(word: Point, *values: Point) -> Point:
        return values[words.index(str(word))]

    first = next(iter(table.values()))
    whose, _, what = chooser.path.rpartition(".")
    return Traced(
        pick,
        (chooser, *table.values()),
        name=f"{name} of {whose}, by {what}",
        dimension=first.dimension,
        formula=f"table {name}, by word",
        source=first.source,
    )


@kept
def _tables() -> dict[str, dict[str, dict[str, Leaf]]]:
    """Every table that physics looks values up in: file -> name -> word -> leaf."""
    return {file: _read(file) for file in FILES}


def _read(file: str) -> dict[str, dict[str, Leaf]]:
    document = read(rules_root() / "tables" / f"{file}.yaml")
    entries = validate(document, _File).root
    found: dict[str, dict[str, Leaf]] = {}
    for name, entry in entries.items():
        if entry.number:
            spot = document.spot((name, "number"))
            found[name] = {"": _leaf(name, Span(float(entry.number), float(entry.number)), "", entry, spot)}
        elif entry.by:
            found[name] = {
                word: _leaf(
                    f"{name}.{word}", *_value(document, (name, "by", word), entry.quantity, text), entry, spot
                )
                for word, text in entry.by.items()
                for spot in [document.spot((name, "by", word))]
            }
        else:
            spot = document.spot((name, "value"))
            value = _value(document, (name, "value"), entry.quantity, entry.value)
            found[name] = {"": _leaf(name, *value, entry, spot)}
    return found


def _value(document: Document, loc: Loc, dimension: str, text: str) -> tuple[Span, str]:
    try:
        written = parse(text, dimension)
    except NotUnderstood as fault:
        raise Unusable([problem(document, loc, fault.expected, text, "", fault.offset)]) from None
    if written is None:
        raise Unusable([problem(document, loc, f"a value ({dimension})", text)])
    return written.domain, dimension


def _leaf(name: str, span: Span, dimension: str, entry: _Entry, spot: Spot) -> Leaf:
    return Leaf(
        f"tables.{name}",
        span,
        dimension,
        origin=Origin.TABLE,
        known=True,
        text=str(span),
        spot=spot,
        source=entry.source,
    )
