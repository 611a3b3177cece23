"""Parts of the picture of which nothing says what they are wired to.

A part is in the picture of the battery side where any run is written, of the mains side where any feed is.
What nobody drew there is not known to be absent: its ends may lie anywhere. Only what was seen out of the
circuit (`status`) hangs free for certain. Whatever passes power on (a converter, a link, a controller) joins
what hangs on its far side.
"""

from __future__ import annotations

from collections.abc import Iterator

from ringout.case.case import YES_NO, Case, Part
from ringout.facts.fact import Fact
from ringout.quantity.traced import Point, Traced, Value
from ringout.system.supply import LOOKS, Supply

BATTERY_SIDE = (
    "storage", "inverter", "charger", "solar_controller", "dc_converter", "dc_load", "dc_source", "bars",
    "overcurrent", "switch", "link",
)  # fmt: skip
NOT_IN_PLACE = frozenset({"prepared", "spare", "planned", "removed", "destroyed"})
"""What `status` says of a part that nobody expects to be wired."""
HANGS_FREE = frozenset({"disconnected", "left_in_place"})
"""What `status` says of a part that is in place and out of the circuit."""
BY_BODY = frozenset({"chassis", "hull", "engine_block"})
"""How a current comes back without a run of its own."""
TAKES = ("ac_takes", "ac_through", "ac_selects")
"""Ports by which mains comes in; what gives it alone is fed by nothing."""
SHORE = ("shore", "shore_lead", "inlet")
"""Roles of what stands where mains comes aboard."""


def unjoined(case: Case, supply: Supply) -> Iterator[Fact]:
    """Each part and the side of it (plus, minus, both, mains) of which nothing says where it leads."""
    joined, by_body = (_joined(case), _by_body(case)) if case.hops else (frozenset[str](), frozenset[str]())
    for part in case.parts.values():
        if part.word("status") in NOT_IN_PLACE or part.names.get("inside"):
            continue
        if case.hops and (side := _open_side(part, joined, by_body)):
            yield _fact(part, side)
        if case.feeds and _takes_mains(part) and not supply.wired(part) and not _looked_at(part):
            yield _fact(part, "mains")


def _takes_mains(part: Part) -> bool:
    return part.form.port(*TAKES) is not None and not part.acts_as(*SHORE)


def _looked_at(part: Part) -> bool:
    """Whether a look told on which supply a part of the mains side is live."""
    return any(part.leaf(field).known for field in LOOKS.values() if field in part.form.fields)


def _fact(part: Part, side: str) -> Fact:
    return Fact("unconnected", {"part": part.name, "side": side}, {"loose": _loose(part)})


def _loose(part: Part) -> Value:
    """Whether its ends hang free: as its status says, else open."""
    if part.word("status") in HANGS_FREE:

        def free(status: Point) -> Point:
            return "yes" if status in HANGS_FREE else "no"

        name = f"ends of {part.name} hang free"
        return Traced(free, (part.leaf("status"),), name=name, formula="as its status says", widest=YES_NO)
    return part.leaf("loose")


def _joined(case: Case) -> frozenset[str]:
    """All terminals joined to a battery through runs, devices, and parts that pass power on."""
    near: dict[str, set[str]] = {}
    for hop in case.hops.values():
        near.setdefault(hop.a, set()).add(hop.b)
        near.setdefault(hop.b, set()).add(hop.a)
    for part in case.parts.values():
        for ends in _terminals(part):
            wired = [end for end in ends if end in near]
            for end in wired if len(wired) > 1 else ():
                near[end].update(wired)
    posts = (f"{battery.name}{pole}" for battery in case.with_role("storage") for pole in "+-")
    queue = [post for post in posts if post in near]
    found = set(queue)
    while queue:
        fresh = near[queue.pop()] - found
        found |= fresh
        queue.extend(fresh)
    return frozenset(found)


def _terminals(part: Part) -> list[list[str]]:
    """The terminals of a part that one pole joins: of all its pairs, and both ends of what sits in one conductor."""
    ports = part.form.ports.items()
    through = [f"{part.name}.{end}" for port, how in ports if how == "through" for end in ("in", "out")]
    pairs = [port for port, how in ports if how == "pair"]
    poles = [[f"{part.name}{pole}", *(f"{part.name}.{port}{pole}" for port in pairs)] for pole in "+-" if pairs]
    return [through, *poles]


def _open_side(part: Part, joined: frozenset[str], by_body: frozenset[str]) -> str:
    """The side of a part of the battery side that leads to no battery; nothing where both do."""
    if f"{part.name}+" in joined and f"{part.name}-" in joined:
        return ""
    if not part.acts_as(*BATTERY_SIDE) or not part.form.port("pair", "through"):
        return ""
    own = {end for ends in _terminals(part) for end in ends if end in joined}
    if part.form.port("through") or not own:
        return "" if own else "both"
    poles = {end[-1] for end in own}
    if "+" in poles and not own.isdisjoint(by_body):
        poles.add("-")
    return {"+": "minus", "-": "plus"}.get("".join(poles), "")


def _by_body(case: Case) -> frozenset[str]:
    """The terminals with a run of which it is said that its return is in the body."""
    sheets = ((hop, hop.sheet) for hop in case.hops.values())
    back = (hop for hop, sheet in sheets if sheet is not None and sheet.word("return_by") in BY_BODY)
    return frozenset(end for hop in back for end in (hop.a, hop.b))
