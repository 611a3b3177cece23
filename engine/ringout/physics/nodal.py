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


@lru_cache(maxsize=64)
def _inverse(mesh: Mesh, resistances_ohm: tuple[float, ...]) -> NDArray[np.float64]:
    """Volts of every node for a unit of current into every other; the reference is bordered with noughts."""
    import numpy as np

    matrix = np.zeros((mesh.nodes, mesh.nodes))
    for (a, b), resistance in zip(mesh.branches, resistances_ohm, strict=True):
        conductance = 1.0 / resistance
        matrix[a, a] += conductance
        matrix[b, b] += conductance
        matrix[a, b] -= conductance
        matrix[b, a] -= conductance
    found = np.zeros((mesh.nodes, mesh.nodes))
    found[1:, 1:] = np.linalg.inv(matrix[1:, 1:])
    return found


def _potentials(
    mesh: Mesh, resistances_ohm: Sequence[float], draws: Sequence[tuple[int, int, float]]
) -> NDArray[np.float64]:
    import numpy as np

    currents = np.zeros(mesh.nodes)
    for plus, minus, amps in draws:
        currents[plus] -= amps
        currents[minus] += amps
    found: NDArray[np.float64] = _inverse(mesh, tuple(resistances_ohm)) @ currents
    return found


def branch_share(mesh: Mesh, resistances_ohm: Sequence[float], draw: tuple[int, int], branch: int) -> float:
    """The part of a current drawn between two nodes (plus, minus) that flows through a branch from a to b.

    Resistances in ohm, all above zero; the mesh must be in one piece.
    """
    return branch_current(mesh, resistances_ohm, ((*draw, 1.0),), branch)


def branch_current(
    mesh: Mesh, resistances_ohm: Sequence[float], draws: Sequence[tuple[int, int, float]], branch: int
) -> float:
    """Current (A) through a branch from a to b when currents (A) are drawn between pairs of nodes."""
    potentials = _potentials(mesh, resistances_ohm, draws)
    a, b = mesh.branches[branch]
    return float((potentials[a] - potentials[b]) / resistances_ohm[branch])


def lost_volts(
    mesh: Mesh, resistances_ohm: Sequence[float], draws: Sequence[tuple[int, int, float]], at: tuple[int, int]
) -> float:
    """Voltage (V) lost between two nodes (plus, minus) by the currents (A) drawn."""
    potentials = _potentials(mesh, resistances_ohm, draws)
    plus, minus = at
    return float(potentials[minus] - potentials[plus])


def slopes(
    mesh: Mesh,
    resistances_ohm: Sequence[float],
    draw: tuple[int, int],
    at: tuple[int, int],
    branch: int | None,
) -> list[float]:
    """How what one ampere drawn between two nodes does moves with each resistance (per ohm).

    What it does: the current (A) through `branch`, or where that is None the volts lost between the nodes
    `at`. By the adjoint: the volts there would be if the current were drawn where the result is read.
    """
    plus, minus = at if branch is None else reversed(mesh.branches[branch])
    scale = 1.0 if branch is None else 1.0 / resistances_ohm[branch]
    volts = _potentials(mesh, resistances_ohm, [(*draw, 1.0)])
    mirror = _potentials(mesh, resistances_ohm, [(plus, minus, scale)])
    found = []
    for (a, b), ohm in zip(mesh.branches, resistances_ohm, strict=True):
        found.append(float((volts[a] - volts[b]) * (mirror[a] - mirror[b])) / ohm**2)
    if branch is not None:
        a, b = mesh.branches[branch]
        found[branch] -= float(volts[a] - volts[b]) * scale**2
    return found
