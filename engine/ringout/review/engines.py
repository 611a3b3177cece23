"""Which matching engine runs: durable where it can be had, plain elsewhere, or the one that was asked for."""

from __future__ import annotations

from ringout.inference.chain import MakeMatcher

ENGINES = ("durable", "plain")


class NoSuchEngine(Exception):
    """The engine asked for cannot be had here."""


def matcher(name: str = "") -> MakeMatcher:
    """The matcher class by name; without a name durable where it imports, else plain. Raises NoSuchEngine."""
    if name in ("", "durable"):
        from ringout.inference import durable

        if durable.available():
            return durable.DurableMatcher
        if name:
            raise NoSuchEngine("the durable engine is not installed here; use --engine plain")
    if name not in ("", "plain"):
        raise NoSuchEngine(f"expected one of {', '.join(ENGINES)}, found '{name}'")
    from ringout.inference.plain import PlainMatcher

    return PlainMatcher
