"""A remedy fitted to a finding: its names filled from the case, its changes made into operations."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from ringout.case.case import Case
from ringout.facts.catalogue import catalogue
from ringout.inference.chain import Known
from ringout.plan.find import Finder, Item
from ringout.plan.operations import (
    AddFeed,
    AddPart,
    AddRun,
    MoveFeed,
    Operation,
    RemoveFeed,
    RemovePart,
    RemoveRun,
    RemoveStatement,
    Set,
)
from ringout.plan.remedy import BRACES, LOOKS, Remedy, SettingLine
from ringout.plan.written import Unfit
from ringout.quantity.printed import format_value
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import domain_of
from ringout.quantity.unit import DIMENSIONS
from ringout.review.finding import Finding
from ringout.rulebase.limits import limits

Names = Mapping[str, tuple[Item, ...]]
NOMINAL = 12.0
"""Volts at which limits for charging are given."""
REMOVE: Mapping[str, Callable[[str], Operation]] = {
    "part": RemovePart,
    "run": RemoveRun,
    "feed": RemoveFeed,
    "statement": RemoveStatement,
}


@dataclass(frozen=True, slots=True)
class Proposal:
    """A remedy for one finding, ready to be tried: what was chosen for it, and the operations."""

    remedy: Remedy
    finding: Finding
    bound: Mapping[str, str]
    chosen: Mapping[str, str]
    operations: tuple[Operation, ...]


def proposals(
    case: Case, finding: Finding, remedy: Remedy, choices: Mapping[str, str] | None = None
) -> Iterator[Proposal]:
    """The ways of doing a remedy, in the order of the values it tries; `choices` settles names beforehand.

    Raises Unfit where the case lacks what the remedy needs to know.
    """
    said = dict(choices or {})
    bound = bindings(finding, remedy.cures[finding.rule.name])
    names: dict[str, tuple[Item, ...]] = {name: ({"": text},) for name, text in bound.items()}
    finder = Finder(case)
    for name, line in remedy.find.items():
        ((what, of),) = line.items()
        found = _looked_up(finder, what, names[of][0][""] if LOOKS[what][0] else of, said.get(name))
        if name in said and not found:
            raise Unfit(f"there is no {name} {said[name]}")
        names[name] = found
    for name, setting in remedy.settings.items():
        names[name] = ({"": said[name] if name in said else _setting(setting, bound)},)
    tried = [[said[name]] if name in said else line.values for name, line in remedy.ask.items()]
    for values in itertools.product(*tried):
        chosen = dict(zip(remedy.ask, values, strict=True))
        filled = names | {name: ({"": value},) for name, value in chosen.items()}
        yield Proposal(remedy, finding, bound, chosen, tuple(_operations(remedy, filled)))


def _looked_up(finder: Finder, what: str, of: str, chosen: str | None) -> tuple[Item, ...]:
    """What is found, or the one of it that was chosen. Of a kind of part there must be one."""
    found = finder.look(what, of)
    if chosen is not None:
        return tuple(item for item in found if item[""] == chosen)
    if what == "one_of_kind" and len(found) > 1:
        raise Unfit(f"say which {of.replace('_', ' ')}: {', '.join(item[''] for item in found)}")
    return found


def bindings(finding: Finding, names: Mapping[str, str]) -> dict[str, str]:
    """The names that a remedy takes from the facts of a finding. Unfit where a value is not settled."""
    step = finding.said.step
    assert step is not None
    return {name: _bound(step.binding, text) for name, text in names.items()}


def _bound(binding: Mapping[str, Known], text: str) -> str:
    alias, _, key = text.partition(".")
    fact = binding[alias].fact
    if key in fact.keys:
        return fact.keys[key]
    if key in fact.known:
        return fact.known[key]
    domain = domain_of(fact.values[key])
    if not domain.exact:
        raise Unfit(f"the {key.replace('_', ' ')} of {', '.join(fact.keys.values())} is not known yet")
    if isinstance(domain, Choice):
        return domain.only
    return format_value(domain.lo, catalogue()[fact.type].attributes[key].dimension)


def _setting(line: SettingLine, bound: Mapping[str, str]) -> str:
    """The middle between two limits for a type, at the bank's own voltage."""
    word, volts = bound[line.by], float(bound[line.at].split()[0])
    ends = []
    for name in line.between:
        leaf = limits()[name].leaves.get(word)
        if leaf is None or not isinstance(leaf.domain, Span) or not leaf.domain.exact:
            raise Unfit(f"for {word.replace('_', ' ')} only the battery maker's sheet gives the voltage")
        ends.append(leaf.domain.lo)
    return format_value(sum(ends) / len(ends) * volts / NOMINAL, DIMENSIONS["voltage"].name)


def _operations(remedy: Remedy, names: Names) -> Iterator[Operation]:
    for change in remedy.changes:
        ((what, said),) = change.items()
        if what == "set":
            filled = [each for pair in said.items() for each in _filled(dict([pair]), names)]
            values = {path: value for each in filled for path, value in each.items()}
            if values:
                yield Set(values)
            continue
        for each in _filled(said, names):
            yield _operation(what, each)


def _operation(what: str, said: dict[str, str]) -> Operation:
    if what == "move_feed":
        return MoveFeed(said["consumer"], said["to"])
    about = next(iter(said.keys() & REMOVE.keys()))
    name = said.pop(about)
    if what == "remove":
        return REMOVE[about](name)
    if about == "part":
        replaces = said.pop("replaces", "")
        return AddPart(name, said, replaces)
    if about == "run":
        return AddRun(name, said.get("size", ""), said.get("length", ""))
    return AddFeed(name)


def _filled(said: Mapping[str, str], names: Names) -> Iterator[dict[str, str]]:
    """A change with its braces filled, once for each thing found that it names, be that none."""
    mentioned = sorted({match[0] for text in (*said, *said.values()) for match in BRACES.findall(text)})
    for items in itertools.product(*(names[name] for name in mentioned)):
        of = dict(zip(mentioned, items, strict=True))
        yield {_fill(key, of): _fill(text, of) for key, text in said.items()}


def _fill(text: str, of: Mapping[str, Item]) -> str:
    return BRACES.sub(lambda match: of[match[1]][match[2] or ""], text)
