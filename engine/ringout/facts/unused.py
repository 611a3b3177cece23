"""Which readings of a case nothing was made of, and why: what somebody measured is never passed over in silence."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from ringout.case.case import Case
from ringout.facts.as_read import spoken
from ringout.facts.fact import Fact
from ringout.facts.sums import added
from ringout.facts.trust import as_found
from ringout.quantity.traced import leaves_of

KINDS = {
    "voltage": "volts count beside a current of the same set, or between two points with the loads that ran",
    "current": "a current counts of a bank with everything off, of inverter and charger or all batteries in one set, "
    "or of a load named as running",
    "drop": "a drop counts where `of` names the part it was read on the way to",
    "capacity": "a capacity counts where `of` names the battery",
    "power": "a power counts of an inverter, in a state such as `no load`",
    "resistance": "ohms count of an inlet, where the points name the earth",
    "polarity": "polarity counts where `of` names an outlet, an inlet or the shore supply",
    "trip_current": "a trip current counts where `of` names the RCD",
}
"""What is made of the readings of a kind; of any other kind nothing is."""


def unused(case: Case, facts: Iterable[Fact]) -> dict[str, str]:
    """The readings that no fact rests on, each with the reason, in the order written."""
    if not case.frame.readings:
        return {}
    values = (value for fact in facts for value in fact.values.values())
    leaves = {each for value in values for leaf in leaves_of(value) for each in (leaf, leaf.doubt) if each}
    used = {leaf.path.split(".")[1] for leaf in leaves if leaf.read} | added(case)
    found = {taken.name for taken in as_found(case)}
    spoken_of = {taken.name for taken in as_found(case) if any(spoken(case, taken))}
    why = {}
    for name, reading in case.frame.readings.items():
        again = {other.repeats for key, other in case.frame.readings.items() if key in used}
        if name in used or reading.repeats in used or name in again:
            continue
        if reading.round != "found":
            why[name] = {"trial": "taken in a trial", "left": "taken as left"}[reading.round]
        elif reading.what in KINDS and name not in found:
            why[name] = "taken after the first change"
        elif name in spoken_of:
            why[name] = "beside what is stated it counts once it was repeated"
        else:
            why[name] = KINDS.get(reading.what, f"nothing is made of {reading.what.replace('_', ' ')} yet")
    return why


def told(why: Mapping[str, str]) -> str:
    """The readings not used with their reasons in one line, nothing where all were used."""
    reasons: dict[str, list[str]] = {}
    for name, reason in why.items():
        reasons.setdefault(reason, []).append(name.replace("_", " "))
    return "; ".join(f"{', '.join(names)} ({reason})" for reason, names in reasons.items())
