"""One fact: a type, settled keys, and attributes that are leaves or traced values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ringout.quantity.leaf import Leaf
from ringout.quantity.traced import Value


@dataclass(frozen=True, slots=True, eq=False)
class Fact:
    """`id` is the type and its keys in order, such as ``charging(chg, house)``: equal facts have equal ids.

    `standing` holds the leaves on which the existence of the fact itself rests (a part that is only supposed).
    """

    type: str
    keys: Mapping[str, str]
    values: Mapping[str, Value] = field(default_factory=dict)
    known: Mapping[str, str] = field(default_factory=dict)
    standing: tuple[Leaf, ...] = ()

    @property
    def id(self) -> str:
        return f"{self.type}({', '.join(self.keys.values())})"
