"""A resistive network solved at a point: which current each branch carries, which voltage is lost at a load.

Batteries of one bank are taken at equal voltage, so for what they *share* they are plain resistances, and the
voltage lost at a load is what the currents drawn lose in the network (superposition).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Mesh:
    """Nodes 0..n-1 (0 is the reference) and branches (a, b); their resistances are given with each solve."""

    nodes: int
    branches: tuple[tuple[int, int], ...]


@lru_cache(maxsize=4096)
def _potentials(
    mesh: Mesh, resistances_ohm: tuple[float, ...], draws: tuple[tuple[int, int, float], ...]
) -> NDArray[np.float64]:
    import numpy as np

    matrix = np.zeros((mesh.nodes, mesh.nodes))
    for (a, b), resistance in zip(mesh.branches, resistances_ohm, strict=True):
        conductance = 1.0 / resistance
        matrix[a, a] += conductance
        matrix[b, b] += conductance
        matrix[a, b] -= conductance
        matrix[b, a] -= conductance
    currents = np.zeros(mesh.nodes)
    for plus, minus, amps in draws:
        currents[plus] -= amps
        currents[minus] += amps
    found = np.zeros(mesh.nodes)
    found[1:] = np.linalg.solve(matrix[1:, 1:], currents[1:])
    return found


def branch_share(mesh: Mesh, resistances_ohm: Sequence[float], draw: tuple[int, int], branch: int) -> float:
    """The part of a current drawn between two nodes (plus, minus) that flows through a branch from a to b.

    Resistances in ohm, all above zero; the mesh must be in one piece.
    """
    potentials = _potentials(mesh, tuple(resistances_ohm), ((*draw, 1.0),))
    a, b = mesh.branches[branch]
    return float((potentials[a] - potentials[b]) / resistances_ohm[branch])


def lost_volts(
    mesh: Mesh, resistances_ohm: Sequence[float], draws: Sequence[tuple[int, int, float]], at: tuple[int, int]
) -> float:
    """Voltage (V) lost between two nodes (plus, minus) by the currents (A) drawn."""
    potentials = _potentials(mesh, tuple(resistances_ohm), tuple(draws))
    plus, minus = at
    return float(potentials[minus] - potentials[plus])
