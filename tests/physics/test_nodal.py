"""The nodal solve on meshes small enough to work out by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.physics.nodal import Mesh, branch_current, branch_share, lost_volts, slopes

# Two batteries between node 0 (minus) and node 1 (plus), the load at the same two nodes.
PAIR = Mesh(2, ((0, 1), (0, 1)))
OHMS = st.floats(1e-4, 1e-1)


def test_equal_batteries_share_equally() -> None:
    assert branch_share(PAIR, (0.004, 0.004), (1, 0), 0) == pytest.approx(0.5)


def test_the_battery_of_less_resistance_carries_more() -> None:
    assert branch_share(PAIR, (0.002, 0.006), (1, 0), 0) == pytest.approx(0.75)
    assert branch_share(PAIR, (0.002, 0.006), (1, 0), 1) == pytest.approx(0.25)


def test_volts_lost_are_those_of_the_resistances_side_by_side() -> None:
    assert lost_volts(PAIR, (0.002, 0.006), [(1, 0, 100.0)], (1, 0)) == pytest.approx(0.15)


def test_what_two_loads_lose_adds_up() -> None:
    # battery 0-1, a lead 1-2 and its return 3-0; a load at the battery and one at the end of the lead
    mesh = Mesh(4, ((0, 1), (1, 2), (3, 0)))
    ohms = (0.005, 0.01, 0.02)
    assert lost_volts(mesh, ohms, [(1, 0, 100.0)], (2, 3)) == pytest.approx(0.5)
    assert lost_volts(mesh, ohms, [(2, 3, 10.0)], (2, 3)) == pytest.approx(0.35)
    assert lost_volts(mesh, ohms, [(1, 0, 100.0), (2, 3, 10.0)], (2, 3)) == pytest.approx(0.85)
    assert lost_volts(mesh, ohms, [], (2, 3)) == 0


def test_a_branch_carries_what_flows_from_its_first_node_to_its_second() -> None:
    mesh = Mesh(4, ((0, 1), (1, 2), (3, 0)))
    ohms = (0.005, 0.01, 0.02)
    drawn = [(1, 0, 100.0), (2, 3, 10.0)]
    assert [branch_current(mesh, ohms, drawn, branch) for branch in range(3)] == pytest.approx([110, 10, 10])


def test_a_balanced_bridge_carries_nothing_across() -> None:
    # Source: the bridge of four resistances, textbook case: balanced when both sides have the same ratio.
    mesh = Mesh(4, ((0, 1), (0, 2), (1, 3), (2, 3), (1, 2)))
    assert branch_share(mesh, (1.0, 2.0, 2.0, 4.0, 5.0), (3, 0), 4) == pytest.approx(0, abs=1e-12)


@given(one=OHMS, other=OHMS, link=OHMS, back=OHMS)
def test_two_batteries_and_their_links_against_the_current_divider(
    one: float, other: float, link: float, back: float
) -> None:
    # b1 is 0-1, b2 is 2-3, links 1-3 and 2-0; the load hangs on b1.
    mesh = Mesh(4, ((0, 1), (2, 3), (1, 3), (2, 0)))
    share = branch_share(mesh, (one, other, link, back), (1, 0), 0)
    far = other + link + back
    assert share == pytest.approx(far / (one + far), rel=1e-6)
    assert share + branch_share(mesh, (one, other, link, back), (1, 0), 1) == pytest.approx(1)


@given(ohms=st.lists(OHMS, min_size=5, max_size=5), result=st.sampled_from((None, 0, 1, 2, 3, 4)))
def test_slopes_are_those_of_a_small_step(ohms: list[float], result: int | None) -> None:
    mesh = Mesh(4, ((0, 1), (2, 3), (1, 3), (2, 0), (1, 2)))

    def what_it_does(changed: list[float]) -> float:
        if result is None:
            return lost_volts(mesh, changed, [(1, 0, 1.0)], (3, 2))
        return branch_current(mesh, changed, [(1, 0, 1.0)], result)

    found = slopes(mesh, ohms, (1, 0), (3, 2), result)
    for place, ohm in enumerate(ohms):
        step = 1e-4 * ohm
        ends = [what_it_does([*ohms[:place], ohm + way * step, *ohms[place + 1 :]]) for way in (-1, 1)]
        assert found[place] * ohm == pytest.approx((ends[1] - ends[0]) / (2 * step) * ohm, rel=1e-3, abs=1e-6)
