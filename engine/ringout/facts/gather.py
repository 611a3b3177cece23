"""All facts of a case: what was stated, what follows from the wiring, what physics makes of it.

Facts that answer a question of the kind "is it so?" are given for every possible subject, as yes, no or open
(a closed world), so that a rule never has to conclude from the mere lack of a fact.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ringout.case.case import Case, Part, Sheet
from ringout.facts.catalogue import catalogue
from ringout.facts.dc import DcFacts
from ringout.facts.fact import Fact
from ringout.facts.mains import MainsFacts
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice
from ringout.quantity.traced import Value
from ringout.system.network import Network
from ringout.system.supply import Supply

SITE = "installation"


def gather(case: Case) -> list[Fact]:
    """The facts of a case, sorted by id, each id once."""
    network, supply = Network(case), Supply(case)
    found = [*stated(case), *DcFacts(case, network, supply).all(), *MainsFacts(case, supply).all()]
    return sorted(found, key=lambda fact: fact.id)


def stated(case: Case) -> Iterator[Fact]:
    """Facts that a part, a complaint or a sheet states as it is."""
    for name, its in catalogue().items():
        if its.roles or its.kind:
            for part in case.parts.values():
                if part.kind == its.kind or part.form.roles & set(its.roles):
                    yield Fact(name, {"part": part.name}, read(part, its.reads), standing=standing(part))
    yield Fact("habits", {"site": SITE}, read(case.habits, catalogue()["habits"].reads))
    yield Fact("surroundings", {"site": SITE}, read(case.surroundings, catalogue()["surroundings"].reads))
    for name, complaint in case.complaints.items():
        yield Fact("complaint", {"name": name}, known={"symptom": complaint.symptom})
    for part in case.parts.values():
        yield from _placed(case, part)


def read(sheet: Sheet, names: tuple[str, ...]) -> Mapping[str, Value]:
    """The leaves of those fields that the sheet's form has."""
    return {name: sheet.leaf(name) for name in names if name in sheet.form.fields}


def standing(part: Part) -> tuple[Leaf, ...]:
    """What a fact about a part rests on: nothing where the part was seen, its being there where it is supposed."""
    return (part.there,) if part.supposed else ()


def _placed(case: Case, part: Part) -> Iterator[Fact]:
    if not part.place:
        return
    sort = next((role for role, of in PLACED if part.acts_as(of)), None)
    if sort is None:
        return
    place = case.places.get(part.place)
    values: dict[str, Value] = {}
    if place is not None:
        values = {"gas": place.leaf("gas"), "place": place.leaf("sort"), "vented": place.leaf("vented")}
    else:
        values = {name: _open(part, name) for name in ("gas", "place", "vented")}
        word = part.place.replace(" ", "_")
        if word in catalogue()["placed"].attributes["place"].options:
            values["place"] = Leaf(
                f"{part.name}.place", Choice(frozenset({word})), known=True, text=part.place, spot=part.spot
            )
    yield Fact("placed", {"part": part.name}, values, known={"sort": sort}, standing=standing(part))


PLACED = (
    ("battery", "storage"),
    ("inverter", "inverter"),
    ("charger", "charger"),
    ("solar_controller", "solar_controller"),
)


def _open(part: Part, name: str) -> Leaf:
    options = catalogue()["placed"].attributes[name].options
    path = f"{part.name}.place" if name == "place" else f"{part.name}.place.{name}"
    return Leaf(path, Choice(frozenset(options)), spot=part.spot)
