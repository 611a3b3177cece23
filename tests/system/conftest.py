"""A hut whose wiring each test draws in a line or two."""

from collections.abc import Callable

import pytest

from ringout.case.load import load_text
from ringout.system.network import Network

BATTERIES = "\n".join(f"b{n}: {{kind: battery, nominal: 12 V}}" for n in range(1, 5))
GEAR = """\
house: {kind: busbars}
main: {kind: fuse, rating: 250 A}
sw: {kind: isolator, rating: 300 A}
shunt: {kind: shunt, rating: 300 A}
inv: {kind: inverter}
pump: {kind: dc_load}
mppt: {kind: solar_controller}
dcdc: {kind: dc_charger}
link: {kind: bank_link}
brk: {kind: breaker, rating: 50 A}
maybe: {kind: fuse, supposed: yes}"""


def hut(dc: str, parts: str = BATTERIES) -> Network:
    """The network of a hut with the chains given, one a line; with the batteries they name."""
    lines = [line for line in parts.splitlines() if parts != BATTERIES or line.split(":")[0] in dc]
    rows = ["case: the ringers' hut", "parts:", *(f"  {line}" for line in [*lines, *GEAR.splitlines()])]
    rows += ["dc:", *(f"  - {line}" for line in dc.strip().splitlines())] if dc.strip() else []
    return Network(load_text("\n".join(rows), "hut.yaml"))


@pytest.fixture
def net() -> Callable[..., Network]:
    return hut
