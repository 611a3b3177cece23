"""Python's search for rings of waste, held off while something large is made of which nearly all is kept."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def unsearched() -> Iterator[None]:
    """A case and its review keep nearly all that they make: to search it again and again takes half the time.

    What was made goes to the oldest generation at once (frozen and thawed), or the first thing made afterwards would
    have all of it searched; unless somebody keeps things frozen who would not have them thawed.
    """
    searching = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if searching:
            if not gc.get_freeze_count():
                gc.freeze()
                gc.unfreeze()
            gc.enable()
