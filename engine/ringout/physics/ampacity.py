"""What a conductor may carry, by a published table (`rules/tables/ampacity.yaml`) and between its rows."""

from __future__ import annotations

import itertools
import math
from bisect import bisect_right
from collections.abc import Callable
from dataclasses import dataclass

from ringout.kept import kept, remembered
from ringout.quantity.conductor import awg_area
from ringout.quantity.traced import Formula, Traced, Value
from ringout.shipped import rules_root
from ringout.text.checked import Strict, validate
from ringout.text.document import read


class _Table(Strict):
    source: str
    classes: list[str]
    engine_space: list[str]
    rows: dict[str, list[str]]


@dataclass(frozen=True, slots=True)
class _Columns:
    """Currents (A) by area (mm2) and class (C), and the slope of the logarithms from each row to the next."""

    source: str
    classes: list[float]
    engine_space: list[float]
    areas: list[float]
    amps: list[list[float]]
    slopes: list[list[float]]


@kept
def _table() -> _Columns:
    raw = validate(read(rules_root() / "tables" / "ampacity.yaml"), _Table)
    rows = sorted((awg_area(_gauge(name)), [float(each) for each in row]) for name, row in raw.rows.items())
    slopes = [
        [math.log(more / less) / math.log(next_area / area) for less, more in zip(amps, next_amps, strict=True)]
        for (area, amps), (next_area, next_amps) in itertools.pairwise(rows)
    ]
    classes, factors = [float(each) for each in raw.classes], [float(each) for each in raw.engine_space]
    return _Columns(raw.source, classes, factors, [area for area, _ in rows], [amps for _, amps in rows], slopes)


def _gauge(name: str) -> int:
    """`18` is 18; `2/0` is -1, as the formula of ASTM B258 counts."""
    head, slash, _ = name.partition("/")
    return 1 - int(head) if slash else int(head)


def ampacity_a(area_mm2: float, insulation_c: float) -> float:
    """Current (A) for a copper area (mm2) and an insulation class (C).

    Between rows by a straight line in logarithms, between classes by a straight line; beyond the ends the
    nearest slope or column is kept on. Never falls when either argument grows.
    """
    table = _table()
    areas = table.areas
    row = min(max(bisect_right(areas, area_mm2) - 1, 0), len(areas) - 2)

    def of_class(column: int) -> float:
        # A row that stands still against the next would make a flat line; below the table copper is the measure.
        slope = 1.0 if area_mm2 < areas[0] else table.slopes[row][column]
        return table.amps[row][column] * math.exp(slope * math.log(area_mm2 / areas[row]))

    return _between(insulation_c, table.classes, of_class)


def engine_factor(insulation_c: float) -> float:
    """Factor for a run through an engine space, by insulation class (C)."""
    table = _table()
    return _between(insulation_c, table.classes, table.engine_space.__getitem__)


def _between(x: float, xs: list[float], y: Callable[[int], float]) -> float:
    if x <= xs[0]:
        return y(0)
    if x >= xs[-1]:
        return y(len(xs) - 1)
    n = bisect_right(xs, x) - 1
    low = y(n)
    return low + (y(n + 1) - low) * (x - xs[n]) / (xs[n + 1] - xs[n])


def carried(size: Value, insulation: Value, *, engine_space: bool, name: str) -> Traced:
    """The ampacity of a run as a traced value."""
    return _carried(engine_space).of(size, insulation, name=name)


@remembered
def _carried(engine_space: bool) -> Formula:
    if engine_space:
        return Formula(
            lambda area, c: ampacity_a(float(area), float(c)) * engine_factor(float(c)),
            "table by size and insulation class, times the factor for engine spaces",
            "current",
            _table().source,
        )
    return Formula(
        lambda area, c: ampacity_a(float(area), float(c)),
        "table by size and insulation class, outside engine spaces",
        "current",
        _table().source,
    )
