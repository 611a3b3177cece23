"""A case with some of its facts set to other values, by the paths that a proof prints.

The values go into the text of the case and through the reader of all cases, so that a supposed value is held
to the same rules as what an inspector writes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from ringout.case.case import Case, Part, Sheet
from ringout.case.form import Field, part_kinds, sheet
from ringout.case.load import load_text
from ringout.plan.operations import MoveFeed, Operation, RemovePart, RemoveRun, Set, apply
from ringout.plan.runs import written
from ringout.plan.written import Unfit, flow
from ringout.quantity.leaf import WORKED_OUT, Origin
from ringout.text.edit import add_entry, set_value
from ringout.text.problem import Unusable, did_you_mean, shown

NOT_OF_A_CASE = ("tables", "limits", "rule", "number")
"""What stands before the first full stop of a leaf that no case states."""
MARK = f" ({Origin.SUPPOSED})"


class NotSet(Exception):
    """One line that says which setting cannot be made: what was expected, what was found."""


def what_if(case: Case, settings: Mapping[str, str]) -> Case:
    """The case with each path set to a value as a case file would hold it. Raises NotSet."""
    for path, value in settings.items():
        # One after the other, so that what cannot be set is told from what can. What a reading contradicts is the
        # field itself: set, it is what it is set to.
        case = _with(case, path.removesuffix(".as_read"), value)
    return case


def paths(case: Case) -> Iterator[str]:
    """Every path that can be set, in no order that matters."""
    sheets: list[Sheet] = [*case.parts.values(), *case.places.values()]
    sheets += [case.habits, case.surroundings, case.mains]
    for each in sheets:
        yield from (f"{each.name}.{field.name}" for field in each.form.fields.values() if _is_leaf(field))
    for id in case.hops:
        yield from (f"{id}.{field.name}" for field in sheet("run").fields.values() if _is_leaf(field))
    yield from (f"{name}.there" for name in (*case.parts, *case.hops))
    yield from (f"{feed.to}.fed_from" for feed in case.feeds)
    yield from (f"{feed.to.split('.')[0]}.fed_from" for feed in case.feeds)
    yield from (f"looked_for.{kind}" for kind in part_kinds())
    yield from (f"distances.{key}" for key in case.frame.distances)
    yield from (f"readings.{name}" for name in case.frame.readings)
    yield from ("installation.region", "installation.dc_volts", "installation.ac_volts")
    for part in case.parts.values():
        yield from (f"{part.name}.place", f"{part.name}.place.gas", f"{part.name}.place.vented")


def _is_leaf(field: Field) -> bool:
    return not field.free_text and not field.parts


def _with(case: Case, path: str, value: str) -> Case:
    if path.startswith(WORKED_OUT):
        raise NotSet(f"expected a fact of the case, found {shown(path)}, which is worked out from other facts")
    if path.partition(".")[0] in NOT_OF_A_CASE:
        raise NotSet(f"expected a fact of the case, found {shown(path)}, which is a value of the rules")
    known = set(paths(case))
    if path not in known:
        hint = did_you_mean(path, known)
        example = "a fact of the case, such as house.chemistry"
        raise NotSet(f"expected {example}, found {shown(path)}" + (f"; {hint}" if hint else ""))
    try:
        return _set(case, path, value)
    except Unusable as fault:
        first = fault.problems[0]
        hint = f"; {first.hint}" if first.hint else ""
        raise NotSet(f"{path}: expected {first.expected}, found {first.found}{hint}") from None
    except (Unfit, ValueError) as fault:
        raise NotSet(f"{path}: {fault}") from None


def _set(case: Case, path: str, value: str) -> Case:
    name, _, key = path.rpartition(".")
    if name == "readings":
        return _reload(case, set_value(case.document.text, ("readings", key, "value"), flow(value)))
    if key == "there" and "there" not in _fields(case, name):
        return apply(case, _there(case, name, value))
    if key == "fed_from":
        return apply(case, [MoveFeed(name, value)])
    part, _, place = name.partition(".")
    if place == "place":
        return _placed(case, case.parts[part], key, value)
    return apply(case, [Set({path: value})])


def _fields(case: Case, name: str) -> Mapping[str, Field]:
    return case.parts[name].form.fields if name in case.parts else {}


def _there(case: Case, name: str, value: str) -> list[Operation]:
    """What makes a supposed part or run a seen one or takes it away; its values stay as supposed as they were."""
    if value not in ("yes", "no"):
        raise Unfit(f"expected yes or no, found {shown(value)}")
    its = case.parts.get(name) or case.hops[name]
    if value == "no":
        return [RemovePart(name) if name in case.parts else RemoveRun(name)]
    if not its.supposed:
        return []
    marked: dict[str, Any] = {f"{name}.supposed": "no"}
    if isinstance(its, Part):
        raw = case.frame.parts[name]
        said: dict[str, Any] = {key: raw.get(key) for key, leaf in its.leaves.items() if leaf.origin is Origin.SUPPOSED}
    else:
        run = written(case, name)
        said = {"size": run.size, "length": run.length}
    return [Set(marked | {f"{name}.{key}": f"{text}{MARK}" for key, text in said.items() if _bare(text)})]


def _bare(text: object) -> bool:
    """Whether a statement names no origin of its own."""
    return isinstance(text, str) and bool(text) and not text.rstrip().endswith(")")


def _placed(case: Case, part: Part, key: str, value: str) -> Case:
    """A part that stands in a place of its own, of which one thing is known."""
    if part.place in case.places:
        return apply(case, [Set({f"{part.place}.{key}": value})])
    name = part.place.replace(" ", "_") or f"place_of_{part.name}"
    text = add_entry(case.document.text, ("places",), name, flow({key: value}))
    loc = ("parts", part.name)
    text = text if part.place else add_entry(text, loc, "place", name)
    return _reload(case, text)


def _reload(case: Case, text: str) -> Case:
    made = load_text(text, case.document.file)
    made.since = case.since
    return made
