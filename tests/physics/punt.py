"""The wiring of an invented punt, for the tests of what flows in it."""

import pytest

from ringout.case.load import load_text
from ringout.physics.feeders import Draw, Feeders
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Domain, Span
from ringout.quantity.traced import Value, domain_of
from ringout.system.network import Network

COPPER = 0.017241

# The uncertain values of the tables, put at one point.
PLAIN: dict[str, Domain] = {
    "tables.joint": Span(0.0001, 0.0001),
    "tables.stranding": Span(1.0, 1.0),
    "tables.conductor_temperature": Span(20.0, 20.0),
    "tables.device_in_lead": Span(0.0002, 0.0002),
    "tables.small_device_in_lead": Span(0.004, 0.004),
}
PARTS = """\
b1: {kind: battery, internal: 4 mohm}
b2: {kind: battery, internal: 4 mohm}
bars: {kind: busbars}
rail: {kind: busbars}
main: {kind: fuse, rating: 250 A}
inv: {kind: inverter}
pump: {kind: dc_load}
lamp: {kind: dc_load}
fan: {kind: dc_load}"""


def feeders(dc: str, parts: str = PARTS, both_ways: frozenset[str] = frozenset()) -> Feeders:
    rows = ["case: the warden's punt", "parts:", *(f"  {line}" for line in parts.splitlines())]
    rows += ["dc:", *(f"  - {line}" for line in dc.strip().splitlines())]
    network = Network(load_text("\n".join(rows), "punt.yaml"))
    return Feeders(network, network.banks[0], both_ways)


def draw(part: str, low: float, high: float | None = None, **more: Origin) -> Draw:
    domain = Span(low, low if high is None else high)
    origin = more.get("origin", Origin.LABEL)
    return Draw(part, f"{part}+", f"{part}-", Leaf(f"{part}.current", domain, "current", origin, known=True))


def exact(value: Value | None) -> float:
    assert value is not None
    domain = domain_of(value, PLAIN)
    assert isinstance(domain, Span) and domain.lo == pytest.approx(domain.hi)
    return domain.lo


def span(value: Value | None) -> tuple[float, float]:
    assert value is not None
    domain = domain_of(value)
    assert isinstance(domain, Span)
    return domain.lo, domain.hi


def copper(metres: float, mm2: float) -> float:
    return COPPER * metres / mm2 + 0.0002


TREE = """\
b1+ = main = bars+ : 50 mm2, 0.5 m, 0.5 m
b1- = bars- : 50 mm2, 1 m
bars = rail : 10 mm2, 2 m
rail = pump : 4 mm2, 3 m
rail = lamp : 2.5 mm2, 4 m
bars = fan : 2.5 mm2, 1 m"""
ALL = [draw("pump", 8), draw("lamp", 2), draw("fan", 3)]
