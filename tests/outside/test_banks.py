"""How batteries side by side share a current, against banks that were solved and measured elsewhere."""

from types import SimpleNamespace

import pytest

from ringout.physics.formulas import conductor_ohm, copper_ohm_mm2_m, series_ohm
from ringout.physics.nodal import Mesh, branch_share, lost_volts
from ringout.physics.tables import constant
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Span


class Ladder:
    """Batteries side by side, each linked to the next in both poles; minus nodes are even, plus nodes odd."""

    def __init__(
        self, battery_ohm: float, plus_links: list[float], minus_links: list[float], ends: str
    ) -> None:
        self.count = len(plus_links) + 1
        batteries = [(2 * n, 2 * n + 1) for n in range(self.count)]
        plus = [(2 * n + 1, 2 * n + 3) for n in range(self.count - 1)]
        minus = [(2 * n, 2 * n + 2) for n in range(self.count - 1)]
        self.mesh = Mesh(2 * self.count, (*batteries, *plus, *minus))
        self.ohms = [battery_ohm] * self.count + plus_links + minus_links
        self.draw = {"one": (1, 0), "opposite": (1, 2 * (self.count - 1))}[ends]

    def currents(self, amps: float) -> list[float]:
        """Current (A) of each battery when `amps` are drawn."""
        return [amps * branch_share(self.mesh, self.ohms, self.draw, n) for n in range(self.count)]

    def lost(self, amps: float) -> float:
        """Voltage (V) lost at the take-off."""
        return lost_volts(self.mesh, self.ohms, [(*self.draw, amps)], self.draw)


def like(value: SimpleNamespace) -> Ladder:
    its = value.inputs
    links = [its["link_ohm"]] * (its["batteries"] - 1)
    return Ladder(its["battery_ohm"], links, links, its["ends"])


@pytest.mark.published("BK-END-1", "BK-END-3", "BK-END-4", "BK-DIAG-1", "BK-DIAG-2", "BK-DIAG-3")
def test_one_battery_of_four(value: SimpleNamespace) -> None:
    found = like(value).currents(100)[value.inputs["battery"] - 1]
    assert found == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("BK-DIAG-N6", "BK-END-N8", "BK-DIAG-N8", "BK-LFP-2", "BK-LFP-10")
def test_every_battery_of_a_bank(value: SimpleNamespace) -> None:
    found = like(value).currents(100)
    assert found == pytest.approx(value.expected, abs=value.tolerance)
    assert sum(found) == pytest.approx(100)


@pytest.mark.published("BK-END-V", "BK-DIAG-V")
def test_volts_at_the_take_off(value: SimpleNamespace) -> None:
    assert 12 - like(value).lost(100) == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("BK-RATIO")
def test_the_hardest_worked_against_the_least_worked(value: SimpleNamespace) -> None:
    found = like(value).currents(100)
    assert max(found) / min(found) == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("BK-BOAT-*")
def test_a_bank_with_measured_links(value: SimpleNamespace) -> None:
    its = value.inputs
    plus, minus = ([each / 1000 for each in its[f"{pole}_links_mohm"]] for pole in ("plus", "minus"))
    found = Ladder(its["battery_ohm"], plus, minus, its["ends"]).currents(20)
    assert found == pytest.approx(value.expected, abs=value.tolerance)


@pytest.mark.published("BK-STAR")
def test_like_leads_to_bars(value: SimpleNamespace) -> None:
    # Node 0 is the minus bar, node 1 the plus bar, both leads of a battery are in its own branch.
    mesh, ohms = Mesh(2, ((0, 1),) * 4), [float(series_ohm(0.002, 0.0005, 0.0005))] * 4
    found = [100 * branch_share(mesh, ohms, (1, 0), n) for n in range(4)]
    assert found == pytest.approx([value.expected] * 4, abs=value.tolerance)


@pytest.mark.published("BK-HALF")
def test_pairs_joined_at_their_middles(value: SimpleNamespace) -> None:
    # Bars 0 (minus) and 1 (plus); each pair has middles of its own, reached from both its batteries alike.
    branches, ohms = [], []
    for pair in (0, 1):
        minus_middle, plus_middle = 2 + 6 * pair, 3 + 6 * pair
        for battery in (0, 1):
            minus, plus = 4 + 6 * pair + 2 * battery, 5 + 6 * pair + 2 * battery
            branches += [(minus, plus), (minus_middle, minus), (plus, plus_middle)]
            ohms += [0.002, 0.0003, 0.0003]
        branches += [(0, minus_middle), (plus_middle, 1)]
        ohms += [0.0002, 0.0002]
    mesh = Mesh(14, tuple(branches))
    batteries = [n for n, ohm in enumerate(ohms) if ohm == 0.002]
    found = [100 * branch_share(mesh, ohms, (1, 0), n) for n in batteries]
    assert found == pytest.approx([value.expected] * 4, abs=value.tolerance)


@pytest.mark.published("BK-LINK")
def test_a_link_of_copper(value: SimpleNamespace) -> None:
    its = value.inputs
    length, area = (Leaf(name, Span(its[name], its[name])) for name in ("length_m", "area_mm2"))
    names = ("conductor_temperature", "stranding", "resistivity_20", "temperature_coefficient")
    copper = copper_ohm_mm2_m.of(*(constant(name) for name in names))
    domain = conductor_ohm.of(copper, length, area, Leaf("lug", Span(0.0, 0.0))).domain()
    assert isinstance(domain, Span)
    assert domain.contains(value.expected)
