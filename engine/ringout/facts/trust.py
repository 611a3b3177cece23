"""How far a reading can be trusted: with its repeats, among those of its set, and against what is stated or worked out.

A reading that jumped, that its repeat contradicts, or that does not fit the others is in doubt: it suggests, and
settles nothing until a repeat agrees with it. Repeated, it covers what was read each time.
"""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import replace

from ringout.case.case import Case, Taken
from ringout.case.form import sheet
from ringout.case.moment import moment
from ringout.quantity.leaf import Origin
from ringout.quantity.span import Choice, Domain, Span

TIMES = {2: "twice", 3: "three times"}
WIDE = Span(-1e6, 1e6)
"""What a reading in doubt may be, of any dimension."""


def as_found(case: Case) -> list[Taken]:
    """The readings of the case as found: those taken before any change, and no trial runs."""
    changes = [at for changed in case.frame.changed if (at := moment(changed.at))]
    first = min(changes, default=None)
    return [
        taken
        for taken in case.readings
        if taken.reading.round == "found"
        and (first is None or (at := moment(taken.reading.at)) is None or at < first)
    ]


def trusted(readings: Sequence[Taken], apart: Container[str] = ()) -> list[Taken]:
    """Each reading with its repeats in one, as far as it can be trusted.

    `apart` names those that do not add up with the others of their set.
    """
    every = {taken.name: taken for taken in readings}
    groups: dict[str, list[Taken]] = {}
    for taken in readings:
        groups.setdefault(_first(taken, every), []).append(taken)
    return [_together(every[name], group, apart) for name, group in groups.items()]


def _first(taken: Taken, every: dict[str, Taken]) -> str:
    """The reading that a row of repeats goes back to."""
    while taken.reading.repeats in every:
        taken = every[taken.reading.repeats]
    return taken.name


def _together(first: Taken, group: list[Taken], apart: Container[str]) -> Taken:
    """A reading and its repeats stand where more than half of them agree, not all of which jumped."""
    again = sorted((each for each in group if each is not first), key=lambda each: each.name)
    group = [each for each in (first, *again) if each.value.known] or [first]
    agreeing = max(([each for each in group if _agree(one, each)] for one in group), key=len)
    steady = [each for each in agreeing if each.reading.steady is not False]
    if not steady or 2 * len(agreeing) <= len(group) or (len(agreeing) == 1 and first.name in apart):
        return doubtful(replace(first, value=group[0].value))
    if len(agreeing) == 1:
        return replace(first, value=group[0].value)
    said = ", ".join(f"{each.value.text} (line {each.value.spot.line})" for each in agreeing if each.value.spot)
    value = replace(
        agreeing[0].value,
        domain=hull([each.value.domain for each in agreeing]),
        note=f"read {TIMES.get(len(agreeing), 'many times')}: {said}",
    )
    return replace(first, value=value, repeated=len(steady) > 1)


def doubtful(taken: Taken) -> Taken:
    """A reading that settles nothing by itself: a hint over the widest range."""
    if not taken.value.known:
        return taken
    options = sheet("reading").fields[taken.reading.what].options
    wide: Domain = Choice(frozenset(options)) if options else WIDE
    was = taken.value
    value = replace(was, domain=wide, known=False, hint=was.domain, origin=Origin.ASSUMED, doubt=was)
    return replace(taken, value=value)


def hull(domains: Sequence[Domain]) -> Domain:
    """The least that covers all, which are all ranges or all words."""
    spans = [each for each in domains if isinstance(each, Span)]
    if spans:
        return Span(min(each.lo for each in spans), max(each.hi for each in spans))
    return Choice(frozenset().union(*(each.options for each in domains if isinstance(each, Choice))))


def _agree(one: Taken, other: Taken) -> bool:
    """Whether two readings of one thing agree: within the classes of their instruments, else as is usual."""
    stated = one.reading.within is not None and other.reading.within is not None
    within = 0.0 if stated else sheet("reading").fields[one.reading.what].agrees
    return near(one.value.domain, other.value.domain, within)


def fits(taken: Taken, domain: Domain) -> bool:
    """Whether a reading agrees with what is stated or worked out of the same."""
    return near(taken.value.domain, domain, sheet("reading").fields[taken.reading.what].agrees)


def above(taken: Taken, domain: Domain) -> bool:
    """Whether a reading lies beyond the upper end of what is stated or worked out, well beyond its class."""
    read = taken.value.domain
    return isinstance(read, Span) and isinstance(domain, Span) and read.lo > domain.hi and not fits(taken, domain)


def near(one: Domain, other: Domain, within: float) -> bool:
    """Whether two ranges meet or lie no further apart than a part of the larger; words have to have one in common."""
    if not isinstance(one, Span) or not isinstance(other, Span):
        return isinstance(one, Choice) and isinstance(other, Choice) and bool(one.options & other.options)
    gap = max(one.lo, other.lo) - min(one.hi, other.hi)
    return gap <= within * max(map(abs, (one.lo, one.hi, other.lo, other.hi)))
