"""The words that stand in every report, from `rules/tables/wording.yaml`."""

from __future__ import annotations

from functools import cache

from ringout.shipped import rules_root
from ringout.text.checked import Strict, validate
from ringout.text.document import read


class Wording(Strict):
    """Class headings by number, areas, who does the work, the deferral."""

    classes: dict[str, str]
    areas: dict[str, str]
    who: dict[str, str]
    deferral: str
    mains_deferral: str


@cache
def wording() -> Wording:
    """The shipped wording."""
    return validate(read(rules_root() / "tables" / "wording.yaml"), Wording)
