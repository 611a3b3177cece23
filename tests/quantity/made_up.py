"""Formulas and leaves made up for the tests of values."""

from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import Point, formula


@formula("sum", dimension="length", source="plain addition")
def total(*each: float) -> float:
    """Sum of lengths (m)."""
    return sum(each)


@formula("U = R I", dimension="voltage", source="Ohm's law")
def ohm(resistance: float, current: float) -> float:
    """Voltage (V) over a resistance (ohm) that carries a current (A)."""
    return resistance * current


@formula("volts that count as full, by chemistry", dimension="voltage", source="invented for this test")
def full_by(chemistry: str, offset: float) -> float:
    """A voltage (V) looked up by a word."""
    return {"AGM": 12.8, "gel": 12.9, "LFP": 13.4}[chemistry] + offset


def number(path: str, low: float, high: float) -> Leaf:
    return Leaf(path, Span(low, high), "length")


def word(path: str, *options: str) -> Leaf:
    return Leaf(path, Choice(frozenset(options)))


def many_words(count: int) -> tuple[Leaf, ...]:
    return tuple(word(f"w{n}", "yes", "no") for n in range(count))


def count_yes(*words: Point) -> float:
    return float(words.count("yes"))
