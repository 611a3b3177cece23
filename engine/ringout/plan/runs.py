"""DC lines rewritten: a run of a chain taken out or changed, the rest of the chain kept as it was written."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from ringout.case.case import Case, Hop
from ringout.case.lines import read_line
from ringout.case.wiring import dc_chain
from ringout.plan.written import LineText, replace_lines
from ringout.quantity.span import Span
from ringout.quantity.traced import domain_of, leaves_of

FIELDS = ("size", "length")
"""What can be written of a run behind its chain; the rest is said by name, of a whole line."""
NOT_KNOWN = "unknown"


@dataclass(slots=True)
class Run:
    """One run: its id, its ends as they stand in a chain, its size and length as written ("" for nothing)."""

    id: str
    a: str
    b: str
    size: Any
    length: Any
    more: dict[str, Any] = field(default_factory=dict)
    """What is to be said of it by name that its line does not say."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line with its runs. Where it means both poles, `minus` holds the runs that nobody wrote singly."""

    plus: list[Run]
    minus: list[Run]
    names: Mapping[str, Any] | None
    """What else is said of the line; None for a line that is no more than a chain and what is behind it."""


def rewritten(
    text: str, case: Case, changes: Mapping[str, Mapping[str, Any]], removed: Collection[str]
) -> str:
    """The text of a case with runs changed (`size`, `length` and other fields, by id) and runs removed.

    A line stays one line where it can still be written as one. Else it falls apart into lines of one pole.
    """
    new: dict[int, list[LineText]] = {}
    for number, raw in enumerate(case.frame.dc):
        line = _read(case, number, raw)
        runs = [*line.plus, *line.minus]
        if any(run.id in changes or run.id in removed for run in runs):
            for run in runs:
                for name, value in changes.get(run.id, {}).items():
                    if name in FIELDS:
                        setattr(run, name, value)
                    else:
                        run.more[name] = value
            new[number] = list(_new_lines(case, line, changes, removed))
    return replace_lines(text, "dc", new)


def written(case: Case, id: str) -> Run:
    """A run as it is written. KeyError where there is none of that id."""
    for number, raw in enumerate(case.frame.dc):
        line = _read(case, number, raw)
        for run in (*line.plus, *line.minus):
            if run.id == id:
                return run
    raise KeyError(id)


def implied(case: Case, id: str) -> bool:
    """Whether a run is the return that a line of both poles implies, its length that of the way out."""
    return any(
        run.id == id for number, raw in enumerate(case.frame.dc) for run in _read(case, number, raw).minus
    )


def _read(case: Case, number: int, raw: object) -> Line:
    line = read_line(case.document, ("dc", number), raw, "run", [])
    assert line is not None  # the case was read, so each of its lines can be
    spot = line.spot(case.document)
    hops = [hop for hop in case.hops.values() if hop.spot == spot]
    chain = [str(end) for end in dc_chain(line.text)]
    both = len(hops) > len(chain) - 1
    ahead = [hop for hop in hops if not (both and hop.a.endswith("-"))]
    size: Any = line.size.raw if line.size else ""
    lengths = [said.raw for said in line.lengths] or [""] * len(ahead)
    plus = [
        Run(hop.id, a, b, size, length)
        for hop, (a, b), length in zip(ahead, pairwise(chain), lengths, strict=True)
    ]
    minus = [Run(hop.id, hop.a, hop.b, size, _back(hop, ahead, plus)) for hop in hops if hop not in ahead]
    names = None
    if isinstance(raw, dict) and "run" in raw:
        names = {name: value for name, value in raw.items() if name not in ("run", *FIELDS)}
    return Line(plus, minus, names)


def _back(hop: Hop, ahead: list[Hop], plus: list[Run]) -> Any:
    """The length of a return: as it is written of the way out where that is one run, else the sum."""
    for its, run in zip(ahead, plus, strict=True):
        if (its.a, its.b) == (f"{hop.a[:-1]}+", f"{hop.b[:-1]}+"):
            return run.length
    domain = domain_of(hop.length)
    if not isinstance(domain, Span) or not all(leaf.known for leaf in leaves_of(hop.length)):
        return NOT_KNOWN
    return f"{domain.lo:.6g} m" if domain.exact else f"{domain.lo:.6g}..{domain.hi:.6g} m"


def _new_lines(
    case: Case, line: Line, changes: Mapping[str, Mapping[str, Any]], removed: Collection[str]
) -> Iterator[LineText]:
    runs = [*line.plus, *line.minus]
    own_return = any("length" in changes.get(run.id, {}) for run in line.minus)
    alike = all((run.size, run.more) == (runs[0].size, runs[0].more) for run in runs)
    if alike and not own_return and not any(run.id in removed for run in runs):
        yield from _lines(line.plus, _named(line.names, runs[0]))
        return
    if line.minus:
        for run in line.plus:
            hop = case.hops[run.id]
            run.a += "+" * hop.a.endswith("+")
            run.b += "+" * hop.b.endswith("+")
    first = line.plus[0]
    for pole in (line.plus, line.minus):
        for stretch in _stretches(pole, removed):
            names = line.names
            if names is not None and stretch[0] is not first:  # the name belongs to the first run alone
                names = {name: value for name, value in names.items() if name != "name"}
            yield from _lines(stretch, _named(names, stretch[0]))


def _named(names: Mapping[str, Any] | None, run: Run) -> Mapping[str, Any] | None:
    """What is said by name of a stretch of runs that are all alike."""
    return {**(names or {}), **run.more} if run.more else names


def _stretches(runs: list[Run], removed: Collection[str]) -> Iterator[list[Run]]:
    """Runs that still follow on each other and are alike, those removed left out."""
    stretch: list[Run] = []
    for run in runs:
        alike = not stretch or (run.size, run.more) == (stretch[-1].size, stretch[-1].more)
        if stretch and (run.id in removed or not alike or run.a != stretch[-1].b):
            yield stretch
            stretch = []
        if run.id not in removed:
            stretch.append(run)
    if stretch:
        yield stretch


def _lines(runs: list[Run], names: Mapping[str, Any] | None) -> Iterator[LineText]:
    """Runs that follow on each other as one line; with names of its own and lengths, a line for each run."""
    if names is not None and len(runs) > 1 and any(run.length for run in runs):
        for number, run in enumerate(runs):
            rest = {name: value for name, value in names.items() if name != "name" or number == 0}
            yield from _lines([run], rest)
        return
    chain = " = ".join([runs[0].a, *(run.b for run in runs)])
    lengths = [run.length or NOT_KNOWN for run in runs] if any(run.length for run in runs) else []
    size = runs[0].size
    if names is not None:
        said = {"size": size, "length": lengths[0] if lengths else ""}
        yield {"run": chain, **{name: value for name, value in said.items() if value}, **names}
    elif size or lengths:
        yield {chain: ", ".join([size or NOT_KNOWN, *lengths])}
    else:
        yield chain
