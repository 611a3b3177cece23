"""The published JSON Schema of case files (draft 2020-12), from which an editor completes and explains.

An editor sees numbers and booleans where the strict reader keeps the text as written, so both are let
through wherever words are meant. The schema is the looser of the two, but for one thing: it knows the words
of a choice only as they are printed, while the reader takes capitals and small letters alike.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from ringout.case.form import Field, common, form, part_kinds, sheet
from ringout.case.frame import LOOKED, CaseFile
from ringout.case.lines import EXAMPLE
from ringout.case.statement import LONG, NOT_KNOWN, ORIGINS
from ringout.quantity.unit import DIMENSIONS

Schema = dict[str, Any]

DRAFT = "https://json-schema.org/draft/2020-12/schema"
PART_NAME = "^[A-Za-z][A-Za-z0-9_]*$"
PLACE_NAME = "^[^.]+$"
WORDS: Schema = {"type": ["string", "number", "boolean"]}
NAMES: Schema = {"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]}
YES_NO: Schema = {"enum": ["yes", "no", True, False]}
BOOLEAN = {"yes": True, "no": False}
"""What an editor that reads YAML 1.1 makes of these words."""

ORIGIN = {"label": "label", "manual": "manual", "reading": "measured", "display": "display", "asked": "said"}
"""Where a field is read, as the origin that its example names."""

_TAIL = rf"(?:\s*\((?:{'|'.join(ORIGINS)})[^()]*\))?\s*$"
_UNKNOWN = "|".join(word.replace("?", r"\?") for word in sorted(NOT_KNOWN))
_NUMBER = r"[0-9]+(?:\s*(?:\.\.|to)\s*[0-9]+)?"
STATEMENTS: dict[str, tuple[Schema, ...]] = {
    # A unit is a word or a sign; the reader says which.
    "amount": ({"type": "string", "pattern": "[A-Za-z%Ω?]"},),
    "ratio": ({"type": ["string", "number"]},),
    "count": ({"type": "integer", "minimum": 0}, {"type": "string", "pattern": rf"^(?:{_NUMBER}){_TAIL}"}),
    "any": (WORDS,),
}
"""What may be written short, by sort of field."""


def schema_text() -> str:
    """The text of the schema's file."""
    return json.dumps(case_schema(), indent=1) + "\n"


def case_schema() -> Schema:
    """The JSON Schema of case files: the frame, and in it what the forms of the parts allow."""
    schema: Schema = _plain(CaseFile.model_json_schema())
    frame, shared = schema["properties"], schema["$defs"]
    shared["long"] = _object({name: WORDS for name in LONG} | {"from": {"enum": list(ORIGINS)}}, "is")
    shared["unknown"] = {"type": "string", "pattern": f"^(?:{_UNKNOWN}){_TAIL}"}
    shared |= {f"stated_{sort}": _statement(*short) for sort, short in STATEMENTS.items()}
    shared["Complaint"]["properties"]["symptom"] = _symptom(sheet("complaint").fields["symptom"])
    shared["run"] = {"properties": _fields(sheet("run").fields)}
    of_all = _of_all_kinds()
    shared |= {f"part_{kind}": _part(kind, of_all) for kind in part_kinds()}
    for name in ("habits", "surroundings", "mains"):
        frame[name] = _object(_fields(sheet(name).fields))
    frame |= _fields(sheet("installation").fields)
    frame["places"] = _each(_object(_fields(sheet("place").fields)), PLACE_NAME)
    frame["distances"] = _each(_field(sheet("distance").fields["distance"]), " to ")
    frame["looked_for"] = _object(dict.fromkeys(part_kinds(), _choice(LOOKED)))
    frame["parts"] = _each(_any_part(of_all), PART_NAME)
    frame["dc"] = {"type": "array", "items": _line("run", "=")}
    frame["ac"] = {"type": "array", "items": _line("feed", ">")}
    return {"$schema": DRAFT, "title": "One off-grid electrical installation", **schema}


# -- the frame -------------------------------------------------------------------------------------------


def _plain(schema: Any) -> Any:
    """What pydantic makes of the frame, without its titles and defaults, its texts as an editor sees them."""
    if isinstance(schema, list):
        return [_plain(each) for each in schema]
    if not isinstance(schema, dict):
        return schema
    if schema.get("x-statement"):
        return {"$ref": "#/$defs/stated_any"}
    if schema.get("type") == "string":
        kept = {key: schema[key] for key in ("description", "examples", "minLength") if key in schema}
        return WORDS | kept
    return {key: _plain(value) for key, value in schema.items() if key not in ("title", "default")}


def _symptom(field: Field) -> Schema:
    return {"description": field.ask, "enum": list(field.options)}


def _object(properties: Mapping[str, Schema], *required: str) -> Schema:
    made = {"type": "object", "properties": dict(properties), "additionalProperties": False}
    return made | {"required": list(required)} if required else made


def _each(schema: Schema, name: str) -> Schema:
    """An object of things that are all alike, with names of the writer's own that fit a pattern."""
    return {"type": "object", "patternProperties": {name: schema}, "additionalProperties": False}


def _line(sort: str, mark: str) -> Schema:
    """A line of `dc:` or `ac:`: a text, with a size and lengths behind its colon, or written with names."""
    text: Schema = {"type": "string", "pattern": mark, "examples": [EXAMPLE[sort]]}
    run = {name: {"$ref": f"#/$defs/run/properties/{name}"} for name in sheet("run").fields}
    forms = [text, _object({sort: text, "supposed": YES_NO, **run}, sort)]
    if sort == "run":
        forms.insert(1, _each({"type": "string"}, mark) | {"minProperties": 1, "maxProperties": 1})
    return {"anyOf": forms}


# -- parts -----------------------------------------------------------------------------------------------


def _any_part(of_all: Mapping[str, Field]) -> Schema:
    """A part: its kind, what every part can have, and by its kind what it can have besides."""
    kinds = [{"const": kind, "description": form(kind).words} for kind in part_kinds()]
    return {
        "type": "object",
        "properties": {"kind": {"anyOf": kinds}, "supposed": YES_NO, **_fields(of_all)},
        "required": ["kind"],
        "allOf": [
            {
                "if": {"properties": {"kind": {"const": kind}}, "required": ["kind"]},
                "then": {"$ref": f"#/$defs/part_{kind}"},
            }
            for kind in part_kinds()
        ],
    }


def _of_all_kinds() -> dict[str, Field]:
    """The fields that any part can have and that no kind has in a form of its own."""
    forms = [form(kind).fields for kind in part_kinds()]
    return {
        name: field for name, field in common().fields.items() if all(its[name] == field for its in forms)
    }


def _part(kind: str, of_all: Mapping[str, Field]) -> Schema:
    own = {name: field for name, field in form(kind).fields.items() if name not in of_all}
    besides = f"^(?:kind|supposed|{'|'.join(of_all)})$"
    return {"properties": _fields(own), "patternProperties": {besides: True}, "additionalProperties": False}


def _fields(fields: Mapping[str, Field]) -> dict[str, Schema]:
    return {name: _field(field) for name, field in fields.items()}


def _field(field: Field) -> Schema:
    """What a field may state, with its question, its unit or words, and an example."""
    if field.free_text:
        return _described(WORDS, field.ask)
    if field.parts:
        kind = "any kind" if field.parts == "any" else f"kind {field.parts}"
        return _described(NAMES, field.ask, f"Names of parts of {kind}.")
    origin = ORIGIN.get(field.where, "seen")
    if field.options:
        first, last = field.options[0], field.options[-1]
        return _described(_choice(field.options), field.ask, "", f"{first} ({origin})", f"{first} or {last}")
    if field.dimension == "count":
        return _described(_stated("count"), field.ask, "A whole number, or a range of them.", "2", "2..4")
    its = DIMENSIONS[field.dimension]
    sort = "ratio" if field.dimension == "ratio" else "amount"
    words = f"{its.words[0].upper()}{its.words[1:]}, with its unit."
    examples = (f"{its.example} ({origin})", f"about {its.example}", "unknown")
    return _described(_stated(sort), field.ask, words, *examples)


def _described(schema: Schema, ask: str, words: str = "", *examples: str) -> Schema:
    description = " ".join(each for each in (ask, words) if each)
    made = {"description": description} if description else {}
    return made | schema | ({"examples": list(examples)} if examples else {})


# -- statements ------------------------------------------------------------------------------------------


def _statement(*short: Schema) -> Schema:
    return {"anyOf": [*short, {"$ref": "#/$defs/unknown"}, {"$ref": "#/$defs/long"}]}


def _stated(sort: str) -> Schema:
    return {"allOf": [{"$ref": f"#/$defs/stated_{sort}"}]}


def _choice(options: tuple[str, ...]) -> Schema:
    """One word of a set, or several of them; the bare words first, for an editor to offer."""
    words = [*options, "unknown", *(BOOLEAN[word] for word in options if word in BOOLEAN)]
    one = f"(?:{'|'.join(options)})".replace("_", "[_ ]")
    several = rf"^{one}(?:(?:\s*\|\s*|\s+or\s+){one})*{_TAIL}"
    return _statement({"enum": words}, {"type": "string", "pattern": several})
