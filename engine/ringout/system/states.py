"""The operating states, read from `rules/tables/states.yaml`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from pydantic import RootModel

from ringout.kept import kept
from ringout.shipped import rules_root
from ringout.text.checked import OneOf, Strict, Words, YesNo, validate
from ringout.text.document import read

SOURCES = ("shore", "inverter", "generator", "none")


@dataclass(frozen=True, slots=True)
class State:
    """One operating state: the sorts of source that are live and the one that a changeover stands on."""

    name: str
    says: str
    live: frozenset[str]
    takes: str
    lapse: bool


class _Line(Strict):
    says: str
    live: Words
    takes: Annotated[str, OneOf(SOURCES)]
    lapse: YesNo


class _File(RootModel[dict[str, _Line]]):
    pass


@kept
def states() -> dict[str, State]:
    """All states by name, in the order of the table."""
    lines = validate(read(rules_root() / "tables" / "states.yaml"), _File).root
    return {name: State(name, x.says, frozenset(x.live), x.takes, x.lapse) for name, x in lines.items()}
