import pytest

from ringout.quantity.unit import DIMENSIONS, dimension_named


def scale(spelling: str, dimension: str) -> float | None:
    unit = dimension_named(dimension).find(spelling)
    return None if unit is None else float(unit.scale)


def test_one_unit_of_every_dimension_is_the_inside_unit() -> None:
    # A share has no unit but the percent: it is kept as a plain fraction.
    for name, dimension in DIMENSIONS.items():
        inside = [unit for unit in dimension.units.values() if unit.scale == 1 and unit.offset == 0]
        assert inside or name == "ratio"


def test_every_example_and_every_printed_unit_is_a_unit_of_its_dimension() -> None:
    for dimension in DIMENSIONS.values():
        assert dimension.find(dimension.example.partition(" ")[2])
        assert all(dimension.find(name) for name, _ in dimension.printed)
        assert dimension.printed == tuple(sorted(dimension.printed, key=lambda entry: entry[1]))


@pytest.mark.parametrize(
    ("spelling", "dimension", "expected"),
    [
        ("amp", "current", 1),
        ("AMPS", "current", 1),
        ("mA", "current", 0.001),
        ("VAC", "voltage", 1),
        ("Vdc", "voltage", 1),
        ("v", "voltage", 1),
        ("kilowatts", "power", 1000),
        ("KW", "power", 1000),
        ("VA", "power", 1),
        ("kWh", "energy", 1000),
        ("AH", "charge", 1),
        ("mΩ", "resistance", 0.001),
        ("\u2126", "resistance", 1),
        ("MΩ", "resistance", 1e6),
        ("Megohm", "resistance", 1e6),
        ("Milliohms", "resistance", 0.001),
        ("Metres", "length", 1),
        ("ft", "length", 0.3048),
        ("mm²", "area", 1),
        ("sq  mm", "area", 1),
        ("°C", "temperature", 1),
        ("mV/°C", "voltage_per_kelvin", 0.001),
        ("%/K", "ratio_per_kelvin", 0.01),
        ("MIN", "time", 60),
        ("hours", "time", 3600),
        ("N·m", "torque", 1),
        ("W/m²", "irradiance", 1),
    ],
)
def test_units_as_people_write_them(spelling: str, dimension: str, expected: float) -> None:
    assert scale(spelling, dimension) == expected


@pytest.mark.parametrize(
    ("spelling", "dimension"),
    [
        ("MA", "current"),  # mega is not milli
        ("MV", "voltage"),
        ("M", "length"),
        ("MM", "length"),
        ("m2", "length"),
        ("m2", "area"),  # a slip for mm2, a million times as much
        ("mm", "area"),  # across, or square: read_conductor asks
        ("K", "temperature"),
        ("C", "temperature_difference"),
        ("Ah", "current"),
        ("W", "energy"),
        ("", "length"),
    ],
)
def test_units_that_are_refused(spelling: str, dimension: str) -> None:
    assert scale(spelling, dimension) is None


def test_capitals_never_turn_milli_into_mega() -> None:
    assert scale("mohms", "resistance") == 0.001
    assert scale("Mohms", "resistance") == 1e6
    assert scale("mOHM", "resistance") == 0.001
    assert scale("MOHM", "resistance") == 1e6


def test_volt_amps_say_that_they_are_not_watts() -> None:
    unit = dimension_named("power").find("kVA")
    assert unit is not None
    assert "volt-amps" in unit.note


def test_an_unknown_dimension_lists_those_there_are() -> None:
    with pytest.raises(ValueError, match="no dimension 'pressure'; there are current, voltage"):
        dimension_named("pressure")
