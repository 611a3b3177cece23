"""It does not matter in how many pieces a thing is said: a chain or its runs, a part or answers about it, one line.

What is compared is every fact with the domain of each of its values, every leaf with its origin, and every verdict.
Runs keep their names, since a run is named after its ends however it is written.
"""

import random
from collections.abc import Callable
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from case_leaves import CASES
from renamed import Data, read, text

from ringout.case.case import Case
from ringout.case.form import form
from ringout.case.load import load, load_text
from ringout.case.wiring import ac_line, dc_chain, pieces
from ringout.facts.gather import gather
from ringout.inference.chain import chain
from ringout.inference.plain import PlainMatcher
from ringout.quantity.span import Domain, Span
from ringout.quantity.traced import domain_of, leaves_of
from ringout.rulebase.load import rulebase

each_case = pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)


def told(domain: Domain) -> str:
    if isinstance(domain, Span):
        return f"{domain.lo:.9g} to {domain.hi:.9g}"
    return " ".join(sorted(domain.options))


def judged(case: Case) -> set[str]:
    facts = gather(case)
    out = chain(rulebase(), facts, PlainMatcher)
    made = {f"{fact.id} {name} {told(domain_of(value))}" for fact in facts for name, value in fact.values.items()}
    made |= {f"{fact.id} {name} is {word}" for fact in facts for name, word in fact.known.items()}
    leaves = {leaf.path: leaf for fact in facts for value in fact.values.values() for leaf in leaves_of(value)}
    made |= {f"{path} {told(leaf.domain)} {leaf.origin} {leaf.known}" for path, leaf in leaves.items()}
    return made | {f"{said.rule.name} {said.anchor.id} {said.verdict.value}" for said in out.said}


@cache
def as_written(path: Path) -> set[str]:
    return judged(load(path))


# -- wiring --------------------------------------------------------------------------------------------------


def hop_by_hop(data: Data) -> int:
    """Every chain in one pole becomes a line for each hop, each line written with names."""
    made, count = [], 0
    for line in data.get("dc", ()):
        split = _hops(line, data["parts"])
        count += len(split) > 1
        made += split
    if "dc" in data:
        data["dc"] = made
    return count


def _hops(line: Data, parts: Data) -> list[Data]:
    """The hops of a chain as lines; the line itself where it has several lengths behind one pair of ends."""
    if isinstance(line, dict) and "run" in line:
        chain, more, said = line["run"], {key: value for key, value in line.items() if key != "run"}, []
    elif isinstance(line, dict):
        ((chain, behind),) = line.items()
        said, more = [piece.text for piece in pieces(behind)], {}
    else:
        chain, more, said = line, {}, []
    ends = dc_chain(chain)
    pairs = {place for place, end in enumerate(ends) if _pair(end, parts)}
    both = any(not ends[place].pole for place in pairs)
    # Of plus and minus in one line, which may have devices in plus, one line for each stretch from pair to pair.
    stops = sorted(pairs) if both else list(range(len(ends)))
    if len(stops) < 3 or "name" in more or len(said) not in (0, 1, len(ends)):
        return [line]
    made: list[Data] = []
    for start, stop in pairwise(stops):
        run = " = ".join(str(end) for end in ends[start : stop + 1])
        lengths = said[1:][start:stop]
        made.append({run: ", ".join([said[0], *lengths])} if said else {"run": run, **more})
    return made


def _pair(end: Any, parts: Data) -> bool:
    """Whether a part has a plus and a minus where a chain touches it."""
    if end.part not in parts:
        return False
    its = form(parts[end.part]["kind"])
    port = end.port if end.port in its.ports else its.port("pair", "through")
    return its.ports.get(port or "") == "pair" and end.port not in ("in", "out")


def feed_by_feed(data: Data) -> int:
    """Every line of feeds becomes a line for each feed."""
    made, count = [], 0
    for line in data.get("ac", ()):
        if not isinstance(line, str):
            made.append(line)
            continue
        first, stages = ac_line(line)
        sources = first
        split = []
        for stage in stages:
            split += [f"{' | '.join(map(str, sources))} > {end}" for end in stage]
            sources = stage
        count += len(split) > 1
        made += split
    if "ac" in data:
        data["ac"] = made
    return count


def feeds_joined(data: Data) -> int:
    """Feeds from one source, written on lines of their own, become one line."""
    count = feed_by_feed(data)
    lines: dict[str, list[str]] = {}
    others = []
    for line in data.get("ac", ()):
        if isinstance(line, str):
            source, _, end = line.partition(" > ")
            lines.setdefault(source, []).append(end)
        else:
            others.append(line)
    if "ac" in data:
        data["ac"] = [*others, *(f"{source} > {', '.join(ends)}" for source, ends in lines.items())]
    return count


# -- statements ----------------------------------------------------------------------------------------------


def written_long(data: Data) -> int:
    """Half of the statements of parts and places are written with names: what, from where."""
    draw, count = random.Random(data["case"]), 0
    for name, part in data["parts"].items():
        its = form(part["kind"]).fields
        for key, value in part.items():
            field = its.get(key)
            if field is None or field.free_text or field.parts or not isinstance(value, str) or draw.random() < 0.5:
                continue
            said, bracket, origin = value.partition(" (")
            if bracket and " " not in origin:
                part[key] = {"is": said, "from": origin.rstrip(")")}
                count += 1
        data["parts"][name] = part
    return count


def told_by_answers(data: Data) -> int:
    """What was said of a part (and of nothing else of that field) is told as answers of the owner instead."""
    count, answers = 0, list(data.get("answers", ()))
    groups = [name for group in data.get("alike", ()) for name in (group.split() if isinstance(group, str) else group)]
    for name, part in data["parts"].items():
        if name in groups or part.get("supposed") == "yes":
            continue
        for key in [key for key, value in part.items() if isinstance(value, str) and value.endswith(" (said)")]:
            answers.append({"about": f"{name}.{key}", "answer": part.pop(key)})
            count += 1
    habits = data.get("habits", {})
    for key in [key for key, value in habits.items() if isinstance(value, str) and value.endswith(" (said)")]:
        answers.append({"about": f"habits.{key}", "answer": habits.pop(key)})
        count += 1
    if answers:
        data["answers"] = answers
    return count


def said_of_each(data: Data) -> int:
    """What parts alike share by their make is stated of each."""
    count = 0
    for group in data.get("alike", ()):
        names = group.split() if isinstance(group, str) else group
        its = form(data["parts"][names[0]]["kind"]).fields
        for key, field in its.items():
            if field.where not in ("label", "manual") or field.free_text or field.parts:
                continue
            stated = [data["parts"][name][key] for name in names if key in data["parts"][name]]
            for name in names if stated else ():
                count += key not in data["parts"][name]
                data["parts"][name].setdefault(key, stated[0])
    return count


WAYS = (hop_by_hop, feed_by_feed, feeds_joined, written_long, told_by_answers, said_of_each)


@each_case
@pytest.mark.parametrize("change", WAYS, ids=lambda change: change.__name__)
def test_a_case_written_in_other_pieces_says_the_same(change: Callable[[Data], int], path: Path) -> None:
    """Where a case holds nothing to write otherwise, there is nothing to compare."""
    data = read(path)
    if change(data):
        assert judged(load_text(text(data), path.name)) ^ as_written(path) == set()


def test_every_way_of_writing_is_tried() -> None:
    for change in WAYS:
        assert sum(change(read(path)) for path in CASES) > 5, change.__name__
