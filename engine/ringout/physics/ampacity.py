"""What a conductor may carry, by a published table (`rules/tables/ampacity.yaml`) and between its rows."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable

from ringout.kept import kept
from ringout.quantity.conductor import awg_area
from ringout.quantity.traced import Traced, Value
from ringout.shipped import rules_root
from ringout.text.checked import Strict, validate
from ringout.text.document import read


class _Table(Strict):
    source: str
    classes: list[str]
    engine_space: list[str]
    rows: dict[str, list[str]]


@kept
def _table() -> tuple[str, list[float], list[float], list[float], list[list[float]]]:
    """Source, classes (C), engine-space factors, areas (mm2) ascending, currents (A) by class and area."""
    raw = validate(read(rules_root() / "tables" / "ampacity.yaml"), _Table)
    rows = sorted((awg_area(_gauge(name)), [float(each) for each in row]) for name, row in raw.rows.items())
    factors = [float(each) for each in raw.engine_space]
    return (
        raw.source,
        [float(each) for each in raw.classes],
        factors,
        [a for a, _ in rows],
        [list(column) for column in zip(*(row for _, row in rows), strict=True)],
    )


def _gauge(name: str) -> int:
    """`18` is 18; `2/0` is -1, as the formula of ASTM B258 counts."""
    head, slash, _ = name.partition("/")
    return 1 - int(head) if slash else int(head)


def ampacity_a(area_mm2: float, insulation_c: float) -> float:
    """Current (A) for a copper area (mm2) and an insulation class (C).

    Between rows by a straight line in logarithms, between classes by a straight line; beyond the ends the
    nearest slope or column is kept on. Never falls when either argument grows.
    """
    _, classes, _, areas, columns = _table()
    return _between(insulation_c, classes, lambda n: _between_rows(area_mm2, areas, columns[n]))


def engine_factor(insulation_c: float) -> float:
    """Factor for a run through an engine space, by insulation class (C)."""
    _, classes, factors, _, _ = _table()
    return _between(insulation_c, classes, factors.__getitem__)


def _between(x: float, xs: list[float], y: Callable[[int], float]) -> float:
    if x <= xs[0]:
        return y(0)
    if x >= xs[-1]:
        return y(len(xs) - 1)
    n = bisect_right(xs, x) - 1
    low = y(n)
    return low + (y(n + 1) - low) * (x - xs[n]) / (xs[n + 1] - xs[n])


def _between_rows(area: float, areas: list[float], amps: list[float]) -> float:
    n = min(max(bisect_right(areas, area) - 1, 0), len(areas) - 2)
    slope = math.log(amps[n + 1] / amps[n]) / math.log(areas[n + 1] / areas[n])
    # A row that stands still against the next would make a flat line; below the table copper is the measure.
    if area < areas[0]:
        slope = 1.0
    return amps[n] * math.exp(slope * math.log(area / areas[n]))


def carried(size: Value, insulation: Value, *, engine_space: bool, name: str) -> Traced:
    """The ampacity of a run as a traced value."""
    fn, text = (_in_engine_space, _IN_ENGINE_SPACE) if engine_space else (ampacity_a, _OUTSIDE)
    return Traced(fn, (size, insulation), name=name, dimension="current", formula=text, source=_table()[0])


def _in_engine_space(area_mm2: float, insulation_c: float) -> float:
    return ampacity_a(area_mm2, insulation_c) * engine_factor(insulation_c)


_OUTSIDE = "table by size and insulation class, outside engine spaces"
_IN_ENGINE_SPACE = "table by size and insulation class, times the factor for engine spaces"
