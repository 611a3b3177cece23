"""Dimensions and units: what each kind of number is kept in, and how people write it.

Every dimension has one inside unit (scale 1). The inch is 25.4 mm, the pound 0.45359237 kg and the
pound-force 4.4482216152605 N exactly (NIST Special Publication 811, guide to the SI, 2008, from memory).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

_SIGNS = str.maketrans({"Ω": "ohm", "\u2126": "ohm", "µ": "u", "\u03bc": "u", "²": "2", "°": "", "·": "."})
# Spelled-out words begin like this; in them a capital M is only a capital. In "MA" or "Mohm" it is mega.
_WORD_IN_M = re.compile(r"met|mil|meg|min|mic|mon", re.IGNORECASE)


def _key(spelling: str) -> str:
    """Spellings of one unit share a key; a leading m (milli) and M (mega) never do."""
    text = " ".join(spelling.translate(_SIGNS).split())
    if text.startswith("M") and not _WORD_IN_M.match(text):
        return text[0] + text[1:].lower()
    return text.lower()


@dataclass(frozen=True, slots=True)
class Unit:
    """Inside value = written number * scale + offset. The note says what the unit hides, if anything."""

    scale: Fraction
    offset: Fraction = Fraction(0)
    note: str = ""


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of quantity.

    `words` and `example` serve messages. `printed` lists the units used in print, each with the size (in the
    inside unit) from which it is used. `least` is the smallest value that can exist, in the inside unit.
    """

    name: str
    words: str
    example: str
    units: dict[str, Unit]
    printed: tuple[tuple[str, float], ...]
    least: float = -math.inf

    def find(self, spelling: str) -> Unit | None:
        """The unit written so, or None when this dimension has no such unit."""
        return self.units.get(_key(spelling))


def _units(table: dict[str, Fraction | Unit | int | str]) -> dict[str, Unit]:
    """Expand a table of "spelling|spelling": size in the inside unit."""
    return {
        _key(spelling): size if isinstance(size, Unit) else Unit(Fraction(size))
        for spellings, size in table.items()
        for spelling in spellings.split("|")
    }


_DAY = 86400
_YEAR = Fraction("365.25") * _DAY  # Julian year
_FOOT = Fraction("0.3048")
_POUND_FORCE = Fraction("4.4482216152605")
_KELVIN_PER_F = Fraction(5, 9)
# A circular mil is the area of a circle one thousandth of an inch (0.0254 mm) across.
_CMIL = Fraction(math.pi) / 4 * Fraction("0.0254") ** 2
_VOLT_AMPS = "volt-amps, taken as watts: the real power may be less"

# fmt: off
_ALL = (
    Dimension("current", "a current", "4 A", _units({
        "A|amp|amps|ampere|amperes|A DC|A AC|ADC|AAC": 1,
        "mA|milliamp|milliamps": "0.001", "kA|kiloamp|kiloamps": 1000,
    }), (("mA", 0), ("A", 1), ("kA", 1000))),
    Dimension("voltage", "a voltage", "12.8 V", _units({
        "V|volt|volts|VAC|V AC|VDC|V DC|volts AC|volts DC": 1,
        "mV|millivolt|millivolts|mVAC|mV AC|mVDC|mV DC": "0.001", "kV": 1000,
    }), (("mV", 0), ("V", 0.1), ("kV", 1000))),
    Dimension("power", "a power", "600 W", _units({
        "W|Wp|watt|watts": 1, "kW|kWp|kilowatt|kilowatts": 1000,
        "VA|volt-amps|volt-amperes": Unit(Fraction(1), note=_VOLT_AMPS),
        "kVA": Unit(Fraction(1000), note=_VOLT_AMPS),
    }), (("W", 0), ("kW", 1000))),
    Dimension("energy", "an energy", "900 Wh", _units({
        "Wh|watt hour|watt hours|watt-hour|watt-hours": 1,
        "kWh|kilowatt hour|kilowatt hours|kilowatt-hour|kilowatt-hours": 1000,
    }), (("Wh", 0), ("kWh", 1000))),
    Dimension("charge", "a charge", "100 Ah", _units({
        "Ah|A.h|amp hour|amp hours|amp-hour|amp-hours|ampere-hour|ampere-hours": 1, "mAh": "0.001",
    }), (("Ah", 0),)),
    Dimension("resistance", "a resistance", "4 mohm", _units({
        "ohm|ohms": 1, "uohm|uohms|microhm|microhms": "0.000001",
        "mohm|mohms|milliohm|milliohms": "0.001", "kohm|kohms|kilohm|kilohms": 1000,
        "Mohm|Mohms|megohm|megohms|megaohm|megaohms": 1_000_000,
    }), (("mohm", 0), ("ohm", 1), ("kohm", 1000), ("Mohm", 1e6)), least=0),
    Dimension("length", "a length", "4 m", _units({
        "m|metre|metres|meter|meters": 1, "mm|millimetre|millimetres|millimeter|millimeters": "0.001",
        "cm|centimetre|centimetres|centimeter|centimeters": "0.01", "km": 1000,
        "in|inch|inches": _FOOT / 12, "ft|foot|feet": _FOOT,
    }), (("mm", 0), ("m", 1)), least=0),
    # No m2 here: "6 m2" for a cable is a slip of the pen for 6 mm2, and a million times as much.
    Dimension("area", "a copper area", "6 mm2", _units({
        "mm2|mm^2|sq mm|sqmm|mm sq|square mm|square millimetres|square millimeters": 1, "cm2|cm^2|sq cm": 100,
        "kcmil|MCM": 1000 * _CMIL, "cmil": _CMIL,
    }), (("mm2", 0),), least=0),
    # No kelvin here: K means a difference, so that "5 K" is never a temperature.
    Dimension("temperature", "a temperature", "25 C", _units({
        "C|deg C|degC|degrees C|Celsius|degrees Celsius": 1,
        "F|deg F|degF|degrees F|Fahrenheit|degrees Fahrenheit": Unit(_KELVIN_PER_F, -32 * _KELVIN_PER_F),
    }), (("C", 0),), least=-273.15),
    # No plain C here: "40 C" in such a place may be the temperature itself.
    Dimension("temperature_difference", "a temperature difference", "10 K", _units({
        "K|kelvin|kelvins|C of rise|deg C of rise|degrees C of rise": 1,
        "F of rise|deg F of rise|degrees F of rise": _KELVIN_PER_F,
    }), (("K", 0),)),
    Dimension("ratio", "a share", "85 %", _units({"%|percent|per cent": "0.01"}), (("%", 0),)),
    Dimension("time", "a time", "8 h", _units({
        "s|sec|secs|second|seconds": 1, "ms|millisecond|milliseconds": "0.001",
        "min|mins|minute|minutes": 60, "h|hr|hrs|hour|hours": 3600, "day|days": _DAY,
        "week|weeks": 7 * _DAY, "month|months": _YEAR / 12, "year|years|yr|yrs": _YEAR,
    }), (
        # From two of the larger unit up, so that 90 s and 36 h stay as people say them.
        ("ms", 0), ("s", 1), ("min", 120), ("h", 7200), ("days", 2 * _DAY), ("years", 731 * _DAY),
    ), least=0),
    Dimension("frequency", "a frequency", "50 Hz", _units({
        "Hz|hertz": 1, "kHz": 1000,
    }), (("Hz", 0),), least=0),
    Dimension("mass", "a mass", "25 kg", _units({
        "kg|kilogram|kilograms": 1, "g|gram|grams": "0.001", "lb|lbs|pound|pounds": "0.45359237",
    }), (("g", 0), ("kg", 1)), least=0),
    Dimension("torque", "a torque", "8 N.m", _units({
        "N.m|Nm|N m|N-m|newton metres|newton meters": 1,
        "in-lb|in lb|in-lbs|in lbs|in.lb|lb-in|lb in|lbf-in|lbf.in|inch-pounds": _POUND_FORCE * _FOOT / 12,
        "ft-lb|ft lb|ft-lbs|ft lbs|ft.lb|lb-ft|lb ft|lbf-ft|lbf.ft|foot-pounds": _POUND_FORCE * _FOOT,
    }), (("N.m", 0),), least=0),
    Dimension("voltage_per_kelvin", "a voltage per degree", "-20 mV/K", _units({
        "V/K|V/C": 1, "mV/K|mV/C": "0.001",
    }), (("mV/K", 0), ("V/K", 1))),
    Dimension("ratio_per_kelvin", "a share per degree", "-0.3 %/K", _units({
        "%/K|%/C": "0.01", "1/K|/K|1/C|/C": 1,
    }), (("%/K", 0),)),
    Dimension("irradiance", "an irradiance", "800 W/m2", _units({
        "W/m2|W/m^2": 1, "kW/m2|kW/m^2": 1000,
    }), (("W/m2", 0),), least=0),
    # "0.2 C" is how the trade writes this; it is printed as "C-rate" so that nobody reads Celsius.
    Dimension("charge_rate", "a charge or discharge rate", "0.2 C-rate", _units({
        "C|C-rate|C rate|/h|per hour": 1,
    }), (("C-rate", 0),)),
    Dimension("volume", "a volume", "20 l", _units({
        "l|litre|litres|liter|liters": 1, "ml|millilitre|millilitres|milliliter|milliliters": "0.001",
    }), (("ml", 0), ("l", 1)), least=0),
)
# fmt: on

DIMENSIONS: dict[str, Dimension] = {dimension.name: dimension for dimension in _ALL}
"""Every dimension by name."""


def dimension_named(name: str) -> Dimension:
    """The dimension of that name. Raises ValueError, listing the names there are."""
    if name not in DIMENSIONS:
        raise ValueError(f"no dimension {name!r}; there are {', '.join(DIMENSIONS)}")
    return DIMENSIONS[name]
