"""One fact: a type, settled keys, and attributes that are leaves or traced values."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import field

from ringout.quantity.leaf import Leaf
from ringout.quantity.traced import Value
from ringout.record import record


@record(eq=False)
class Fact:
    """`id` is the type with its keys in order, ``charging(chg, b1)``: equal facts have equal ids.

    `standing` holds the leaves on which the fact itself rests (whether a supposed part is there).
    """

    type: str
    keys: Mapping[str, str]
    values: Mapping[str, Value] = field(default_factory=dict)
    known: Mapping[str, str] = field(default_factory=dict)
    standing: tuple[Leaf, ...] = ()
    id: str = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "id", f"{self.type}({', '.join(self.keys.values())})")


class Later(Mapping[str, Value]):
    """What a fact says, each value made by its name when somebody first asks for it: most of them no rule ever does."""

    __slots__ = ("_made", "_make", "_names")

    def __init__(self, names: Collection[str], make: Callable[[str], Value]) -> None:
        self._names = names
        self._make = make
        self._made: dict[str, Value] = {}

    def __getitem__(self, name: str) -> Value:
        found = self._made.get(name)
        if found is None:
            if name not in self._names:
                raise KeyError(name)
            found = self._made[name] = self._make(name)
        return found

    def __contains__(self, name: object) -> bool:
        return name in self._names

    def __iter__(self) -> Iterator[str]:
        return iter(self._names)

    def __len__(self) -> int:
        return len(self._names)
