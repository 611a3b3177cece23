"""Resistances as read at points worked out by hand."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.physics.read import either_v, read_ohm, way_read_ohm

amps = st.floats(0.1, 200)


@pytest.mark.parametrize(
    ("inputs", "ohm"), [((0.4, 20), 0.02), ((-0.4, 20), 0.02), ((0.4, -20), 0.02), ((0.4, 0), math.inf)]
)
def test_volts_over_amperes(inputs: tuple[float, float], ohm: float) -> None:
    assert read_ohm(*inputs) == pytest.approx(ohm)


@pytest.mark.parametrize(
    ("inputs", "ohm"),
    [
        # 30 A of others beside, the same way, lose 0.1 V of the 0.4 V over the 10/3 mohm that they share
        ((0.4, 20, 1 / 300, 30), 0.015),
        # the other way they hide 0.1 V
        ((0.4, -20, 1 / 300, -30), 0.025),
        ((0.4, 20, 1 / 300, 0), 0.02),
        ((0.4, 0, 1 / 300, 30), math.inf),
    ],
)
def test_what_others_lose_in_shared_pieces_is_no_loss_of_the_part(inputs: tuple[float, ...], ohm: float) -> None:
    assert way_read_ohm(*inputs) == pytest.approx(ohm)


@given(drop=st.floats(0.001, 10), own=amps, shared=st.floats(0, 1), low=st.floats(-200, 200), more=amps)
def test_it_falls_with_what_others_carry(drop: float, own: float, shared: float, low: float, more: float) -> None:
    assert way_read_ohm(drop, own, shared, low) >= way_read_ohm(drop, own, shared, low + more)


def test_what_counts_is_taken() -> None:
    assert either_v("as read", 11.2, 10.9) == 10.9
    assert either_v("worked out", 11.2, 10.9) == 11.2
