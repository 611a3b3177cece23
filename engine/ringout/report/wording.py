"""The words that stand in every report, from `rules/tables/wording.yaml`."""

from __future__ import annotations

from ringout.kept import kept
from ringout.shipped import rules_root
from ringout.text.checked import Strict, Words, validate
from ringout.text.document import read


class Caution(Strict):
    """A caution; `where` names the kinds of part and battery types it is for; none where it is for all."""

    says: str
    where: Words = ()


class Wording(Strict):
    """Class headings by number, areas, who does the work, deferrals, cautions; `lithium`: battery types."""

    classes: dict[str, str]
    areas: dict[str, str]
    who: dict[str, str]
    deferral: str
    stop_symptoms: Words
    stop: str
    mains_deferral: str
    lithium: Words
    lithium_deferral: str
    cautions: list[Caution]


@kept
def wording() -> Wording:
    """The shipped wording."""
    return validate(read(rules_root() / "tables" / "wording.yaml"), Wording)
