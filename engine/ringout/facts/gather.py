"""All facts of a case: what was stated, what follows from the wiring, what physics makes of it.

Facts that answer a question of the kind "is it so?" are given for every possible subject, as yes, no or open
(a closed world), so that a rule never has to conclude from the mere lack of a fact.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial

from ringout.case.case import Case, Part, Sheet
from ringout.facts.as_read import as_read
from ringout.facts.catalogue import FactType, catalogue
from ringout.facts.dc import DcFacts
from ringout.facts.fact import Fact, Later
from ringout.facts.mains import MainsFacts
from ringout.facts.marks import marks
from ringout.facts.sources import SourceFacts
from ringout.facts.sums import apart
from ringout.facts.weather import coldest
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import Value
from ringout.system.network import Network
from ringout.system.supply import Supply

SITE = "installation"


def gather(case: Case) -> list[Fact]:
    """The facts of a case, sorted by id, each id once."""
    case = as_read(case, apart(case))
    network, supply = Network(case), Supply(case)
    mains = [*MainsFacts(case, supply).all(), *SourceFacts(case, supply).all()]
    derived = [*DcFacts(case, network, supply).all(), *mains]
    found = [*stated(case), *marks(case), *grounded(case, derived)]
    return sorted(found, key=lambda fact: fact.id)


def grounded(case: Case, derived: list[Fact]) -> Iterator[Fact]:
    """Derived facts with what they stand on: each is no surer than the parts it speaks of."""
    supposed = {part.name: part.there for part in case.parts.values() if part.supposed}
    for fact in derived:
        on = [supposed[name] for name in fact.keys.values() if name in supposed] if supposed else []
        yield replace(fact, standing=(*fact.standing, *on)) if on else fact


def stated(case: Case) -> Iterator[Fact]:
    """Facts that a part, a complaint or a sheet states as it is."""
    by_kind: dict[str, list[Part]] = {}
    for part in case.parts.values():
        by_kind.setdefault(part.kind, []).append(part)
    for its in catalogue().values():
        for kind in its.part_kinds if its.roles or its.kind else ():
            parts = by_kind.get(kind, ())
            # A kind that can state nothing of it is none of it: what lowers a voltage charges nothing.
            if not parts or (its.reads and parts[0].form.fields.keys().isdisjoint(its.reads)):
                continue
            for part in parts:
                if not its.noted or _stated(part, its.noted):
                    says = Later(its.reads, partial(_said, part, its))
                    yield Fact(its.name, {"part": part.name}, says, standing=standing(part))
    yield Fact("habits", {"site": SITE}, read(case.habits, catalogue()["habits"].reads))
    signs = case.habits.leaf("danger_signs")
    if signs.told or signs.asked:
        yield Fact("danger_signs", {"site": SITE}, {"danger_signs": signs})
    around = read(case.surroundings, catalogue()["surroundings"].reads)
    yield Fact("surroundings", {"site": SITE}, {**around, "lowest": coldest(case)})
    for name, complaint in case.complaints.items():
        yield Fact("complaint", {"name": name}, known={"symptom": complaint.symptom})
    for part in case.parts.values():
        yield from _placed(case, part)


def read(sheet: Sheet, names: tuple[str, ...]) -> Mapping[str, Value]:
    """The leaves of those fields that the sheet's form has."""
    return {name: sheet.leaf(name) for name in names if name in sheet.form.fields}


def _stated(part: Part, field: str) -> bool:
    """Whether somebody stated a field of a part, be it only by word."""
    return field in part.form.fields and part.leaf(field).told


def _said(part: Part, its: FactType, name: str) -> Leaf:
    """What a part says of an attribute; open where its kind cannot state it, though others of the fact type can."""
    if name in part.form.fields:
        return part.leaf(name)
    attribute = its.attributes[name]
    domain = Choice(frozenset(attribute.options)) if attribute.options else Span(-math.inf, math.inf)
    return Leaf(f"{part.name}.{its.name}.{name}", domain, attribute.dimension, spot=part.spot)


def standing(part: Part) -> tuple[Leaf, ...]:
    """What a fact about a part rests on: nothing where it was seen, its being there where it is supposed."""
    return (part.there,) if part.supposed else ()


def _placed(case: Case, part: Part) -> Iterator[Fact]:
    sort = next((role for role, of in PLACED if part.acts_as(of)), None)
    if sort is None:
        return
    place = case.places.get(part.place)
    values: dict[str, Value] = {}
    if place is not None:
        gas = next((each for each in _around(case, place) if each.domain != _NO_GAS), place.leaf("gas"))
        values = {"gas": gas, "place": place.leaf("sort"), "vented": place.leaf("vented")}
    else:
        values = {name: _open(part, name) for name in ("gas", "place", "vented")}
        word = part.place.replace(" ", "_")  # nothing where nobody said where it stands: all of it open
        if word in catalogue()["placed"].attributes["place"].options:
            values["place"] = Leaf(
                f"{part.name}.place", Choice(frozenset({word})), known=True, text=part.place, spot=part.spot
            )
    yield Fact("placed", {"part": part.name}, values, known={"sort": sort}, standing=standing(part))


def _around(case: Case, place: Sheet) -> Iterator[Leaf]:
    """What is said of gas in a place, then in the places it lies within: a lid keeps no gas out."""
    seen: set[str] = set()
    here: Sheet | None = place
    while here is not None and here.name not in seen:
        seen.add(here.name)
        yield here.leaf("gas")
        here = case.places.get(here.texts.get("within", ""))


_NO_GAS = Choice(frozenset({"none"}))

PLACED = (
    ("battery", "storage"),
    ("inverter", "inverter"),
    ("charger", "charger"),
    ("solar_controller", "solar_controller"),
    ("vehicle_charger", "dc_converter"),
    ("link", "link"),
)


def _open(part: Part, name: str) -> Leaf:
    options = catalogue()["placed"].attributes[name].options
    path = f"{part.name}.place" if name == "place" else f"{part.name}.place.{name}"
    return Leaf(path, Choice(frozenset(options)), spot=part.spot)
