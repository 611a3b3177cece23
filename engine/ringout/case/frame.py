"""The frame of a case file as pydantic models. Values inside parts follow the forms (see `form`)."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field as Key

from ringout.text.checked import OneOf, Strict, Words, YesNo

VEHICLES = (
    "caravan", "camper_trailer", "motorhome", "campervan", "slide_on", "four_wheel_drive", "service_van",
    "horse_float", "expedition_truck", "narrowboat", "yacht", "motorboat", "houseboat", "cabin", "tiny_house",
    "other",
)  # fmt: skip
REGIONS = ("AU", "NZ", "UK", "EU", "US", "CA", "other")
LOOKED = ("all", "some", "none seen", "not looked")
READING = (
    "voltage", "drop", "current", "power", "energy", "temperature", "temperature_rise", "resistance",
    "insulation", "leakage", "ac_voltage", "polarity", "trip_time", "trip_current", "frequency", "capacity",
    "observation", "shown",
)  # fmt: skip

Raw = Annotated[Any, Key(json_schema_extra={"x-statement": True})]


class Owner(Strict):
    """Who and where: one removable block, read by nothing."""

    name: str = ""
    plate: str = ""
    location: str = ""
    contact: str = ""


class Complaint(Strict):
    """What bothers the owner, in their words, and the symptom it is filed under."""

    says: str = Key(min_length=1, examples=["flat by morning when away"])
    symptom: str = Key(examples=["flat_by_morning"])
    since: str = ""
    states: Words = ()
    after: str = ""
    stops_when: str = ""
    how_often: str = ""
    theory: str = Key("", description="the owner's own explanation: kept, never adopted")


class Reading(Strict):
    """One reading: what, its value, between which points, in which state and when, in which set."""

    what: Annotated[str, OneOf(READING)]
    value: Raw
    points: Words = ()
    of: str = Key("", description="the part or run it was read at")
    state: str = ""
    loads: str = ""
    at: str = ""
    instrument: str = ""
    set: str = Key("", description="readings of one instant share a set; others are never subtracted")
    steady: YesNo | None = None
    repeats: str = Key("", description="the reading that this one repeats: same thing, same state, same points")
    within: Raw = Key(None, description="the instrument's class: by which part of the value it may be off, such as 2 %")
    round: Annotated[str, OneOf(("found", "trial", "left"))] = "found"
    note: str = ""


class Answer(Strict):
    """One answer of the owner or another witness: which fact it is about and what was said."""

    about: str = Key(examples=["chg.live_on_inverter"])
    answer: Raw
    question: str = ""
    by: str = ""
    at: str = ""


class Photo(Strict):
    """A photograph kept beside the case."""

    file: str
    shows: str = ""
    of: Words = ()


class New(Strict):
    """What a change brought in, written as it would be at the top of the file."""

    parts: dict[str, dict[str, Raw]] = Key(default_factory=dict)
    dc: list[Any] = Key(default_factory=list)
    ac: list[Any] = Key(default_factory=list)


class Changed(Strict):
    """A dated change during the visit: what holds from then on. It takes away first, then moves, adds, sets."""

    at: str
    by: str = ""
    what: str = ""
    remove: list[str] = Key(default_factory=list, description="parts, and runs by their ids")
    move: dict[str, str] = Key(default_factory=dict, description="a part fed with AC: what feeds it now")
    add: New = Key(default_factory=New)
    set: dict[str, Raw] = Key(default_factory=dict)


class Paper(Strict):
    """A certificate, manual, drawing, quote or report seen, and what it claims."""

    sort: str
    date: str = ""
    covers: str = ""
    claims: str = ""


class CaseFile(Strict):
    """One installation as an inspector writes it down."""

    case: str = Key(description="a title")
    about: str = ""
    invented: YesNo = False
    kind: Annotated[str, OneOf(VEHICLES)] = "other"
    region: Annotated[str, OneOf(REGIONS)] = "other"
    built: str = ""
    altered: str = ""
    dc_volts: Raw = None
    ac_volts: Raw = None
    visited: str = ""
    inspector: str = ""
    scope: str = Key("", description="what was looked at and what was not")
    owner: Owner = Key(default_factory=Owner)
    complaints: dict[str, Complaint] = Key(default_factory=dict)
    habits: dict[str, Raw] = Key(default_factory=dict)
    surroundings: dict[str, Raw] = Key(default_factory=dict)
    mains: dict[str, Raw] = Key(default_factory=dict)
    history: list[str] = Key(default_factory=list)
    wishes: list[str] = Key(default_factory=list)
    looked_for: dict[str, Any] = Key(default_factory=dict)
    parts: dict[str, dict[str, Raw]] = Key(default_factory=dict)
    alike: list[Words] = Key(default_factory=list)
    dc: list[Any] = Key(default_factory=list)
    ac: list[Any] = Key(default_factory=list)
    places: dict[str, dict[str, Raw]] = Key(default_factory=dict)
    distances: dict[str, Raw] = Key(default_factory=dict)
    readings: dict[str, Reading] = Key(default_factory=dict)
    answers: list[Answer] = Key(default_factory=list)
    photos: list[Photo] = Key(default_factory=list)
    papers: list[Paper] = Key(default_factory=list)
    changed: list[Changed] = Key(default_factory=list)
    notes: list[str] = Key(default_factory=list)
