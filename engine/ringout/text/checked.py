"""Checking a document against a pydantic model, every mistake at once and in our own words.

All scalars arrive as text (see `document`); the field types below turn text into values and say what they expected.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, ConfigDict, PlainValidator, ValidationError, WithJsonSchema
from pydantic_core import ErrorDetails, PydanticCustomError, core_schema

from ringout.text.document import Document
from ringout.text.problem import Problem, Unusable, did_you_mean

Loc = tuple[str | int, ...]


class Strict(BaseModel):
    """Base of every model read from YAML: unknown keys are mistakes, values never change afterwards."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True)


Model = TypeVar("Model", bound=BaseModel)


def wrong(expected: str, found: object, hint: str = "", offset: int = 0) -> PydanticCustomError:
    """The error a field type raises: what was expected, what was found, and where inside the text (0-based)."""
    return PydanticCustomError(
        "ringout", "wrong", {"expected": expected, "found": shown(found), "hint": hint, "offset": offset}
    )


def shown(value: object) -> str:
    """A value as an error message quotes it, shortened."""
    if value is None:
        return "nothing"
    if isinstance(value, dict):
        return "a mapping"
    if isinstance(value, list):
        return "a list"
    text = str(value)
    return f"'{text}'" if len(text) <= 60 else f"'{text[:57]}...'"


def _yes_no(value: object) -> bool:
    if value in ("yes", "no"):
        return value == "yes"
    raise wrong("yes or no", value)


def _whole(value: object) -> int:
    if isinstance(value, str) and value.isascii() and value.lstrip("-").isdigit():
        return int(value)
    raise wrong("a whole number", value)


def _words(value: object) -> tuple[str, ...]:
    if isinstance(value, str):
        return tuple(value.replace(",", " ").split())
    if isinstance(value, list) and all(isinstance(each, str) for each in value):
        return tuple(value)
    raise wrong("names, such as: b1 b2", value)


YesNo = Annotated[bool, PlainValidator(_yes_no), WithJsonSchema({"enum": ["yes", "no", True, False]})]
Whole = Annotated[int, PlainValidator(_whole), WithJsonSchema({"type": "integer"})]
Words = Annotated[
    tuple[str, ...],
    PlainValidator(_words),
    WithJsonSchema({"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]}),
]


class OneOf:
    """Marks a field that takes one word of a fixed set: ``Annotated[str, OneOf(WORDS)]``."""

    def __init__(self, options: Iterable[str]) -> None:
        self.options = tuple(options)

    def check(self, value: object) -> str:
        """The word itself, or an error that lists the set and the nearest spelling."""
        if isinstance(value, str) and value in self.options:
            return value
        hint = did_you_mean(value, self.options) if isinstance(value, str) else ""
        raise wrong("one of " + ", ".join(self.options), value, hint)

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.check)

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        return {"enum": list(self.options)}


def validate(document: Document, model: type[Model], at: Loc = ()) -> Model:
    """The part of the document at `at` as a model. Raises Unusable with every mistake, each with its place."""
    data: Any = document.data
    for key in at:
        data = data[key]
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise Unusable([_problem(document, model, at, each) for each in error.errors()]) from None


def problem(document: Document, loc: Loc, expected: str, found: object, hint: str = "", offset: int = 0) -> Problem:
    """A mistake at a place of the document, for checks that no model can make."""
    spot = document.inside(loc, offset) if offset else document.spot(loc)
    return Problem(spot, dotted(loc), expected, shown(found), hint)


def unknown_key(document: Document, loc: Loc, allowed: Iterable[str]) -> Problem:
    """A key that does not belong there, pointed at by its own place."""
    keys = sorted(allowed)
    key = str(loc[-1])
    hint = did_you_mean(key, keys)
    listed = ", ".join(keys) if len(keys) <= 12 else ", ".join(keys[:12]) + ", ..."
    return Problem(document.key_spot(loc), dotted(loc), f"a known key ({listed})", shown(key), hint)


def dotted(loc: Loc) -> str:
    """`parts.b1.chemistry`, list places counted from one as a person counts."""
    return ".".join(str(each + 1) if isinstance(each, int) else str(each) for each in loc)


def _problem(document: Document, model: type[BaseModel], at: Loc, error: ErrorDetails) -> Problem:
    loc = at + error["loc"]
    context: dict[str, Any] = error.get("ctx") or {}
    kind, found = error["type"], error["input"]
    if kind == "ringout":
        spot = document.inside(loc, context["offset"]) if context["offset"] else document.spot(loc)
        return Problem(spot, dotted(loc), context["expected"], context["found"], context["hint"])
    if kind == "extra_forbidden":
        return unknown_key(document, loc, _keys_at(model, error["loc"][:-1]))
    if kind == "missing":
        return Problem(document.spot(loc[:-1]), dotted(loc[:-1]), f"a key '{loc[-1]}'", "none")
    expected = _EXPECTED.get(kind)
    if expected is None:
        raise AssertionError(f"no wording for the pydantic error '{kind}'")
    return Problem(document.spot(loc), dotted(loc), expected, shown(found))


_EXPECTED = {
    "dict_type": "a mapping (key: value lines)",
    "model_type": "a mapping (key: value lines)",
    "list_type": "a list (lines that start with a dash)",
    "tuple_type": "a list (lines that start with a dash)",
    "string_type": "text",
}


def _keys_at(model: type[BaseModel], loc: Loc) -> list[str]:
    """The keys a model allows at a place beneath it, followed through lists and mappings of models."""
    here: Any = model
    for key in loc:
        if isinstance(here, type) and issubclass(here, BaseModel):
            by_alias = {field.alias or name: field for name, field in here.model_fields.items()}
            here = by_alias[str(key)].annotation
        here = _inner_model(here)
    return [field.alias or name for name, field in here.model_fields.items()]


def _inner_model(annotation: Any) -> Any:
    """The model inside list[Model], dict[str, Model], Model | None."""
    while not (isinstance(annotation, type) and issubclass(annotation, BaseModel)):
        inner = [each for each in getattr(annotation, "__args__", ()) if each is not str and each is not type(None)]
        if not inner:
            return annotation
        annotation = inner[-1]
    return annotation
