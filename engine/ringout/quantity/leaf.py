"""Leaves: what the case itself says, each with its origin, time, state and line.

Everything computed rests on leaves. A leaf holds what may be *relied on* (`domain`) apart from what is merely
supposed or assumed (`hint`) and from the word of somebody who cannot know (`word`), because a right verdict may
never rest on those.
"""

from __future__ import annotations

from enum import StrEnum

from ringout.quantity.span import Domain
from ringout.record import record
from ringout.text.problem import Spot


class Origin(StrEnum):
    """Where a statement comes from, best first: a later word outranks none before it."""

    MEASURED = "measured"
    SEEN = "seen"
    LABEL = "label"
    MANUAL = "manual"
    DISPLAY = "display"
    SAID = "said"
    ASSUMED = "assumed"
    SUPPOSED = "supposed"
    TABLE = "table"
    NOT_STATED = "not stated"


WORKED_OUT = "worked_out."
"""Before the path of a range that other facts were put together to: nobody states it, nothing can set it."""

#: Statements of these origins suggest; nothing may be cleared by them.
WEAK = frozenset({Origin.ASSUMED, Origin.SUPPOSED})


@record(eq=False)
class Leaf:
    """One input. Identity is its `path` (for example ``chg.output``); parts declared alike share one leaf.

    `dimension` is a name of `quantity.unit` or empty for a choice of words.
    `known` is false where nothing usable was stated: the domain is then the widest that `source` allows.
    """

    path: str
    domain: Domain
    dimension: str = ""
    origin: Origin = Origin.NOT_STATED
    known: bool = False
    text: str = ""
    spot: Spot | None = None
    at: str = ""
    state: str = ""
    by: str = ""
    hint: Domain | None = None
    source: str = ""
    note: str = ""
    word: Domain | None = None
    """What was only said by somebody who cannot know it: it may show a fault, it clears nothing."""
    asked: bool = False
    """True where somebody was asked and could not say: not to be asked again at once."""
    stated: Leaf | None = None
    """What was stated of the same, where a repeated reading outranks it or one in doubt contradicts it."""
    doubt: Leaf | None = None
    """The reading in doubt that speaks of it, in its terms: until it is repeated it suggests and settles nothing."""

    @property
    def as_stated(self) -> Leaf:
        """What was stated, whatever was read since; itself where nothing else was."""
        return self if self.stated is None else self.stated.as_stated

    @property
    def read(self) -> bool:
        """Whether it is what a reading found."""
        return self.path.startswith("readings.")

    @property
    def suggests(self) -> Domain | None:
        """What it would be if what is assumed or in doubt were so."""
        return self.hint if self.doubt is None else self.doubt.domain

    @property
    def told(self) -> bool:
        """Whether somebody said anything of it that could show a fault: what is known, or a mere word."""
        return self.known or self.word is not None

    @property
    def settled(self) -> bool:
        """Whether the value is one single point."""
        return self.domain.exact
