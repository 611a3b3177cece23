"""Checking a document against a pydantic model, every mistake at once and in our own words.

All scalars arrive as text (see `document`); the field types below turn text into values and say what they
expected.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from types import UnionType
from typing import Annotated, Any, TypeVar, get_args

from pydantic import BaseModel, ConfigDict, PlainValidator, RootModel, ValidationError, WithJsonSchema
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails, PydanticCustomError, core_schema

from ringout.text.document import Document
from ringout.text.problem import Loc, Problem, Unusable, did_you_mean, dotted, shown

__all__ = ["Loc", "OneOf", "Strict", "Whole", "Words", "YesNo", "problem", "unknown_key", "validate", "wrong"]

MOST_LISTED = 12
"""Names listed in a message; more would hide it."""

_WHOLE = re.compile("-?[0-9]{1,9}")  # more digits than any count or class of this trade has


class Strict(BaseModel):
    """Base of every model read from YAML: unknown names are mistakes, values never change afterwards."""

    model_config = ConfigDict(extra="forbid", frozen=True, arbitrary_types_allowed=True, defer_build=True)


Model = TypeVar("Model", bound=BaseModel)


def wrong(expected: str, found: object, hint: str = "", offset: int = 0) -> PydanticCustomError:
    """The error a field type raises: what was expected, what was found, and where in the text (from 0)."""
    return PydanticCustomError(
        "ringout", "wrong", {"expected": expected, "found": shown(found), "hint": hint, "offset": offset}
    )


def _yes_no(value: object) -> bool:
    if value in ("yes", "no"):
        return value == "yes"
    raise wrong("yes or no", value)


def _whole(value: object) -> int:
    if isinstance(value, str) and _WHOLE.fullmatch(value):
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
    """The part of the document at `at` as a model. Raises Unusable with every mistake and its place."""
    try:
        return model.model_validate(document.at(at))
    except ValidationError as error:
        raise Unusable([_problem(document, model, at, each) for each in error.errors()]) from None


def problem(
    document: Document, loc: Loc, expected: str, found: object, hint: str = "", offset: int = 0
) -> Problem:
    """A mistake at a place of the document, for checks that no model can make."""
    spot = document.inside(loc, offset) if offset else document.spot(loc)
    return Problem(spot, dotted(loc), expected, shown(found), hint)


def unknown_key(document: Document, loc: Loc, allowed: Iterable[str]) -> Problem:
    """A name that does not belong there, pointed at by its own place."""
    names = sorted(allowed)
    name = str(loc[-1])
    hint = did_you_mean(name, names)
    if len(names) <= MOST_LISTED:
        expected = f"a known name ({', '.join(names)})"
    else:
        expected = "a known name" if hint else f"a known name ({', '.join(names[:MOST_LISTED])}, ...)"
    return Problem(document.key_spot(loc), dotted(loc), expected, shown(name), hint)


def _problem(document: Document, model: type[BaseModel], at: Loc, error: ErrorDetails) -> Problem:
    loc = at + error["loc"]
    context: dict[str, Any] = error.get("ctx") or {}
    kind, found = error["type"], error["input"]
    if kind == "ringout":
        spot = document.inside(loc, context["offset"]) if context["offset"] else document.spot(loc)
        return Problem(spot, dotted(loc), context["expected"], context["found"], context["hint"])
    if kind == "extra_forbidden":
        return unknown_key(document, loc, _names_at(model, error["loc"][:-1]))
    if kind == "missing":
        return Problem(document.spot(loc[:-1]), dotted(loc[:-1]), f"'{loc[-1]}: ...'", "nothing of that name")
    if kind not in _EXPECTED:
        raise AssertionError(f"no wording for the pydantic error '{kind}'")
    return Problem(document.spot(loc), dotted(loc), _EXPECTED[kind], shown(found), _hint(found))


_EXPECTED = {
    "dict_type": "names with values (lines of 'name: value')",
    "model_type": "names with values (lines of 'name: value')",
    "list_type": "a list (lines that start with a dash)",
    "string_type": "text",
    "string_too_short": "words",
}


def _hint(found: object) -> str:
    return "leave the name out if there is nothing to say" if found is None else ""


def _names_at(model: type[BaseModel], loc: Loc) -> list[str]:
    """The names a model allows at a place beneath it, found through lists and mappings of models."""
    here = _bare(model)
    for step in loc:
        if isinstance(here, type) and issubclass(here, BaseModel):
            here = _fields(here)[str(step)].annotation
        else:
            here = get_args(here)[-1]  # what a list or a mapping holds
        here = _bare(here)
    return list(_fields(here))


def _fields(model: type[BaseModel]) -> dict[str, FieldInfo]:
    return {field.alias or name: field for name, field in model.model_fields.items()}


def _bare(annotation: Any) -> Any:
    """The model in `Model | None`, and what a model that is one list or mapping consists of."""
    if isinstance(annotation, type) and issubclass(annotation, RootModel):
        return _bare(annotation.model_fields["root"].annotation)
    if isinstance(annotation, UnionType):
        return next(each for each in get_args(annotation) if each is not type(None))
    return annotation
