"""Why a written quantity was refused, in words for the person who wrote it."""

from __future__ import annotations


class NotUnderstood(ValueError):
    """A quantity that cannot be read.

    `expected` and `found` are phrases that read on from those words, the person's own text already in
    quotes; `offset` is the 0-based column inside the text where it went wrong; `readings` lists what an
    ambiguous text could mean (empty otherwise).
    """

    def __init__(self, expected: str, found: str, offset: int, readings: tuple[str, ...] = ()) -> None:
        self.expected = expected
        self.found = found
        self.offset = offset
        self.readings = readings
        meanings = f", which can mean {' or '.join(readings)}" if readings else ""
        super().__init__(f"expected {expected}, found {found}{meanings}")


class Ambiguous(NotUnderstood):
    """A quantity with more than one honest reading. It is refused, never guessed."""

    def __init__(self, found: str, offset: int, readings: tuple[str, ...]) -> None:
        super().__init__("one clear meaning", found, offset, readings)
