"""Formulas of what was read: the resistance of a way, and a value of which nobody knows yet whether it counts."""

from __future__ import annotations

import math

from ringout.physics.formulas import PLAIN
from ringout.quantity.traced import formula


@formula("R = ΔU / I", dimension="resistance", source="Ohm's law")
def read_ohm(drop: float, current_a: float) -> float:
    """Resistance (ohm) of a way by the volts lost on it and its current, whatever their signs; infinite without one."""
    return abs(drop) / abs(current_a) if current_a else math.inf


@formula("R = (ΔU - R_shared · I_others) / I", dimension="resistance", source="Ohm's law")
def way_read_ohm(drop: float, current_a: float, shared_ohm: float, others_a: float) -> float:
    """As `read_ohm`; what others carry (A) in the pieces they share counts in the direction of the part's current."""
    return (abs(drop) - shared_ohm * others_a) / abs(current_a) if current_a else math.inf


@formula("as read if that counts, else as worked out", dimension="voltage", source=PLAIN)
def either_v(which: str, worked_out: float, read: float) -> float:
    """Volts (V) of which nobody knows yet whether a reading of them counts."""
    return read if which == "as read" else worked_out
