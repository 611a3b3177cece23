"""Every unit that people may write, against the unit definitions of an independent library (pint)."""

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ringout.quantity.notation import parse
from ringout.quantity.unit import DIMENSIONS

LIBRARY: pint.UnitRegistry[float] = pint.UnitRegistry()
LIBRARY.define("kcmil = 1000 * circular_mil")

# dimension: (the library's name for our inside unit, {our spelling: the library's}).
UNITS: dict[str, tuple[str, dict[str, str]]] = {
    "current": ("A", {"A": "A", "mA": "mA", "kA": "kA"}),
    "voltage": ("V", {"V": "V", "mV": "mV", "kV": "kV"}),
    "power": ("W", {"W": "W", "kW": "kW", "VA": "V*A", "kVA": "kV*A"}),
    "energy": ("W*h", {"Wh": "W*h", "kWh": "kW*h"}),
    "charge": ("A*h", {"Ah": "A*h", "mAh": "mA*h"}),
    "resistance": ("ohm", {"ohm": "ohm", "uohm": "uohm", "mohm": "mohm", "kohm": "kohm", "Mohm": "Mohm"}),
    "length": ("m", {"m": "m", "mm": "mm", "cm": "cm", "km": "km", "in": "inch", "ft": "foot"}),
    "area": ("mm**2", {"mm2": "mm**2", "cm2": "cm**2", "cmil": "circular_mil", "kcmil": "kcmil"}),
    "temperature": ("degC", {"C": "degC", "F": "degF"}),
    "temperature_difference": ("delta_degC", {"K": "kelvin", "F of rise": "delta_degF"}),
    "ratio": ("dimensionless", {"%": "percent"}),
    "time": (
        "s",
        {
            "s": "s",
            "ms": "ms",
            "min": "minute",
            "h": "hour",
            "days": "day",
            "weeks": "week",
            "months": "month",
            "years": "year",
        },
    ),
    "frequency": ("Hz", {"Hz": "Hz", "kHz": "kHz"}),
    "mass": ("kg", {"kg": "kg", "g": "g", "lb": "pound"}),
    "torque": ("N*m", {"N.m": "N*m", "in-lb": "inch*force_pound", "ft-lb": "foot*force_pound"}),
    "voltage_per_kelvin": ("V/kelvin", {"V/K": "V/kelvin", "mV/K": "mV/kelvin"}),
    "ratio_per_kelvin": ("1/kelvin", {"/K": "1/kelvin", "%/K": "percent/kelvin"}),
    "irradiance": ("W/m**2", {"W/m2": "W/m**2", "kW/m2": "kW/m**2"}),
    "charge_rate": ("1/hour", {"C-rate": "1/hour"}),
    "volume": ("liter", {"l": "liter", "ml": "milliliter"}),
}
WRITTEN = [(dimension, ours) for dimension, (_, units) in UNITS.items() for ours in units]


def by_the_library(number: float, dimension: str, ours: str) -> float:
    inside, units = UNITS[dimension]
    return float(LIBRARY.Quantity(number, units[ours]).to(inside).magnitude)


def by_us(number: float, dimension: str, ours: str) -> float:
    written = parse(f"{number} {ours}", dimension)
    assert written is not None and written.domain.exact
    return written.domain.lo


@settings(max_examples=300)
@given(unit=st.sampled_from(WRITTEN), number=st.integers(1, 99_999).map(lambda n: n / 100))
def test_a_number_in_any_unit(unit: tuple[str, str], number: float) -> None:
    assert by_us(number, *unit) == pytest.approx(by_the_library(number, *unit), rel=1e-9, abs=1e-12)


def test_no_unit_is_left_out() -> None:
    """Spellings of one unit have one size: a size that the table above does not name is unchecked."""
    for name, dimension in DIMENSIONS.items():
        checked = {dimension.find(ours) for ours in UNITS[name][1]}
        assert [spelling for spelling, unit in dimension.units.items() if unit not in checked] == []
    assert UNITS.keys() == DIMENSIONS.keys()
