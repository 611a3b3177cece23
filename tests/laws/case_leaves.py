"""The leaves of a case: all that it says or leaves open, and how to put others in their place."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from ringout.case.case import Case, Part, Sheet
from ringout.case.form import Field
from ringout.facts.as_read import spoken
from ringout.facts.catalogue import catalogue
from ringout.facts.sources import BONDED, FLOATING
from ringout.physics.circuit import device_ohm, internal_ohm
from ringout.physics.tables import by_chemistry, by_word
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import Traced, Value, domain_of
from ringout.shipped import cases_root

TESTS = Path(__file__).resolve().parents[1]
FOLDERS = (TESTS / "facts" / "cases", cases_root(), TESTS / "field" / "cases")
CASES = sorted(path for folder in FOLDERS for path in folder.glob("*.yaml"))

NUMBER = {"count", "duty"}
"""Fields that say how many things there are and which belong together: another number is another case."""
MARKS = set(catalogue()["mark"].attributes) | set(catalogue()["run_mark"].attributes)
"""Signs of heat, wet and the like: noting one for the first time is a new finding of the inspection."""
LOOKS = {"live_on_shore", "live_on_inverter", "live_on_generator"}
EARTHS = {"earth", "case_earth", "earth_ohm"}


def sheets(case: Case) -> Iterator[Sheet]:
    """Everything that is stated under a form."""
    yield from (case.habits, case.surroundings, case.mains, *case.parts.values(), *case.places.values())
    yield from (hop.sheet for hop in case.hops.values() if hop.sheet is not None)


def fields(case: Case) -> Iterator[tuple[Sheet, Field, Leaf]]:
    """Every field that holds a value, with its leaf."""
    for its in sheets(case):
        for name, field in its.form.fields.items():
            if field.options or field.bounds:
                yield its, field, its.leaf(name)


def put(case: Case, new: Mapping[str, Leaf]) -> None:
    """Put new leaves into a case wherever the old ones of the same path stand."""
    for its in sheets(case):
        for name, leaf in its.leaves.items():
            its.leaves[name] = new.get(leaf.path, leaf)
    for key, hop in case.hops.items():
        case.hops[key] = replace(hop, size=new.get(hop.size.path, hop.size), length=_again(hop.length, new))
    case.looked_for = {kind: new.get(leaf.path, leaf) for kind, leaf in case.looked_for.items()}
    case.distances = {pair: new.get(leaf.path, leaf) for pair, leaf in case.distances.items()}
    case.readings = [replace(taken, value=new.get(taken.value.path, taken.value)) for taken in case.readings]
    case.feeds = [replace(feed, choice=new.get(feed.choice.path, feed.choice)) for feed in case.feeds]
    case.dc_volts = new.get(case.dc_volts.path, case.dc_volts)
    case.ac_volts = new.get(case.ac_volts.path, case.ac_volts)
    region = new.get(case.region.path)
    if region is not None and isinstance(region.domain, Choice) and region.domain.exact:
        case.frame = case.frame.model_copy(update={"region": region.domain.only})


def _again(value: Value, new: Mapping[str, Leaf]) -> Value:
    """A value computed from the leaves of a case, from the new ones."""
    if isinstance(value, Leaf):
        return new.get(value.path, value)
    inputs = tuple(_again(each, new) for each in value.inputs)
    return Traced(
        value.fn,
        inputs,
        name=value.name,
        dimension=value.dimension,
        formula=value.formula,
        source=value.source,
        widest=value.widest,
    )


# -- what may be found out without contradicting the case ----------------------------------------------------


def to_find_out(case: Case) -> dict[str, tuple[Leaf, Domain]]:
    """Every leaf that is not settled, with what it may turn out to be: no more than the review counted with.

    Left out is what would be a second voice beside one that the review has heard already: it may contradict, and
    then the case is another one. See `second_voice`.
    """
    read = read_too(case)
    found = {
        leaf.path: (leaf, _counted_with(case, its, field.name) or leaf.domain)
        for its, field, leaf in fields(case)
        if leaf.path not in read and (leaf.known or not second_voice(case, its, field.name))
    }
    for leaf in _others(case):
        found[leaf.path] = leaf, leaf.domain
    return {path: each for path, each in found.items() if not each[1].exact}


def read_too(case: Case) -> set[str]:
    """Fields of which a reading speaks as well: what is stated there is one of two witnesses who may disagree.

    Without the statement the reading counts by itself; where both are there and differ, neither settles it.
    """
    return {f"{part}.{says.field}" for taken in case.readings for part, says, _ in spoken(case, taken)}


def _others(case: Case) -> Iterator[Leaf]:
    for hop in case.hops.values():
        yield hop.size
        if isinstance(hop.length, Leaf):
            yield hop.length
    for kind in ("fuse", "breaker", "isolator", "rcd", "bank_link", "dc_charger", *case.looked_for):
        yield case.looked(kind)
    yield from case.distances.values()
    yield from (taken.value for taken in case.readings)
    yield from (feed.choice for feed in case.feeds)
    yield from (case.dc_volts, case.ac_volts, case.region)


def second_voice(case: Case, its: Sheet, name: str) -> str:
    """Why a field that is silent is not found out: what else the case has said of it already; empty where nothing."""
    if name in NUMBER:
        return "another number is another case"
    if name in MARKS:
        return "a mark is no fact until somebody notes one"
    if name in EARTHS and _earth_told(case):
        return "the earth was told of elsewhere, and the worst that is told counts"
    if not isinstance(its, Part):
        return ""
    if its.form.kind == "bank":
        return "its batteries have spoken, and what is said of a bank outweighs them"
    if name == "status":
        return "a part stands in its place and does its work until somebody says otherwise"
    if name == "nominal_in" or (name == "nominal" and its.acts_as("storage")):
        return "the volts of the installation speak for it"
    if name == "bond_tested" and its.word("neutral") in BONDED | FLOATING:
        return "its papers have told of its neutral, and what a test showed outranks them"
    if name in LOOKS and any(feed.to.split(".")[0] == its.name for feed in case.feeds):
        return "the drawing says what feeds it, and a look outranks the drawing"
    if its.acts_as("dc_load") and name in ("power", "current"):
        other = its.leaf("current" if name == "power" else "power")
        return "power and current of a load say the same thing" if other.known else ""
    return ""


def _earth_told(case: Case) -> bool:
    return any(leaf.told for _, field, leaf in fields(case) if field.name in EARTHS)


def _counted_with(case: Case, its: Sheet, name: str) -> Domain | None:
    """The range of a silent field that the review counts with, where a table stands in for it."""
    if not isinstance(its, Part) or its.leaf(name).known:
        return None
    if name == "internal" and its.acts_as("storage"):
        return domain_of(internal_ohm(its))
    if name == "usable" and its.acts_as("storage"):
        return domain_of(by_chemistry("usable_share", its.leaf("chemistry")))
    if name == "resistance" and its.form.port("through"):
        return domain_of(device_ohm(its))
    if name == "interrupts" and its.form.port("through") and "family" in its.form.fields:
        return domain_of(by_word("fuse", "interrupts", its.leaf("family")))
    return None


def draw(domain: Domain, by: random.Random) -> Domain:
    """One point of a domain: an end now and then, else within, over wide ranges by size as often as evenly."""
    if isinstance(domain, Choice):
        return Choice(frozenset({by.choice(sorted(domain.options))}))
    low, high = domain.lo, domain.hi
    if by.random() < 0.3:
        at = by.choice((low, high))
    elif low > 0 and high / low > 10 and by.random() < 0.5:
        at = min(max(math.exp(by.uniform(math.log(low), math.log(high))), low), high)
    else:
        at = by.uniform(low, high)
    return Span(at, at)


def found_out(leaf: Leaf, domain: Domain) -> Leaf:
    """The leaf as if somebody had measured it."""
    return Leaf(leaf.path, domain, leaf.dimension, Origin.MEASURED, known=True, text="read", spot=leaf.spot)
