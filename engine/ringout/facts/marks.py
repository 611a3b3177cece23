"""Facts of what was seen, smelt or felt at a part: marks of heat, corrosion, swelling, looseness.

Only what somebody noted makes such a fact; that nobody noted anything is not a sign that all is well.
"""

from __future__ import annotations

from collections.abc import Iterator

from ringout.case.case import Case
from ringout.facts.catalogue import catalogue
from ringout.facts.fact import Fact

ROLES = ("storage", "overcurrent", "switch", "inverter", "charger", "outlet", "inlet", "board", "bars")


def marks(case: Case) -> Iterator[Fact]:
    """One fact for every part and every run at which something was noted."""
    told = catalogue()["run_mark"].attributes
    for hop in case.hops.values():
        sheet = hop.sheet
        if sheet is not None and any(name in told and leaf.known for name, leaf in sheet.leaves.items()):
            yield Fact("run_mark", {"run": hop.id}, {name: sheet.leaf(name) for name in told})
    names = catalogue()["mark"].attributes
    for part in case.parts.values():
        if any(leaf.told and name in names for name, leaf in part.leaves.items()):
            values = {name: part.leaf(name) for name in names if name in part.form.fields}
            sort = next((role for role in ROLES if part.acts_as(role)), "other")
            yield Fact("mark", {"part": part.name}, values, known={"sort": sort})
