"""What a verdict hangs on: the least set of answers that settles an open one, how far a value may move it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass

from ringout.case.case import Case
from ringout.case.form import sheet
from ringout.inference.chain import Step, Verdict
from ringout.quantity.leaf import WEAK, Leaf, Origin
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import View, domain_of
from ringout.review.change import NEAR
from ringout.review.finding import leaves_beneath
from ringout.review.needs import field_of, influence
from ringout.review.suppose import Stretch, Supposed, ends, open_leaves

LARGEST = 3
"""Most answers in a set that is looked for."""
CANDIDATES = 10
"""Most leaves of which sets are made; those that tell most come first."""
WORLDS = 100
"""Most combinations of the other answers for which a set is tried."""
TRIES = 5
"""Values at which a range in such a combination is tried, over each stretch that it leaves open alone."""
TABLE_REACH = 10.0
"""A value of a table is moved down to this part of itself and up to this many times itself."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a combination of answers would make of an open verdict: path -> the answers, in order."""

    given: tuple[tuple[str, Domain], ...]
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class Settling:
    """A set of leaves which settles an open verdict whatever is found, and what each outcome would mean."""

    leaves: tuple[Leaf, ...]
    answers: tuple[Answer, ...]


@dataclass(frozen=True, slots=True)
class Deciding:
    """The one leaf that decides most of an open verdict.

    `share` is the part of its possible answers (of its words, or of its range) after which the verdict is
    settled, whatever the other leaves are; it is no probability. `moves` is the part of the open range of the
    number compared that the leaf moves it by, 0 to 1.
    """

    leaf: Leaf
    share: float
    moves: float
    stretches: tuple[Stretch, ...]


@dataclass(frozen=True, slots=True)
class Hold:
    """How far one value beneath a verdict may move, the others as they are, before the verdict changes.

    `now` is what it is taken to be. It is moved from there over `bounds`; `below` and `above` are the values
    at which the verdict changes, None where no value within the bounds changes it on that side.
    """

    leaf: Leaf
    now: Span
    bounds: Span
    below: float | None
    above: float | None
    becomes_below: Verdict | None = None
    becomes_above: Verdict | None = None

    @property
    def firm(self) -> bool:
        """Whether no value within the bounds changes the verdict."""
        return self.below is None and self.above is None

    @property
    def room(self) -> float:
        """How far it may move at least, as a part of itself; infinite where nothing changes the verdict."""
        size = max(abs(self.now.lo), abs(self.now.hi)) or 1.0
        down = (self.now.lo - self.below) / size if self.below is not None else math.inf
        up = (self.above - self.now.hi) / size if self.above is not None else math.inf
        return min(down, up)


def least_sets(its: Supposed) -> tuple[Settling, ...]:
    """The smallest sets of answers that settle an open verdict whatever they are, at most `LARGEST` large.

    All of the least size, the most telling first; empty for a verdict that is not open, and where only more
    answers, or none, settle it in every case.
    """
    said = its.said
    if said.verdict is not Verdict.NOT_KNOWN or said.step is None:
        return ()
    step = said.step
    leaves = sorted(open_leaves(said), key=lambda leaf: (-influence(step, leaf), leaf.path))[:CANDIDATES]
    for size in range(1, min(LARGEST, len(leaves)) + 1):
        found = []
        for chosen in itertools.combinations(leaves, size):
            answers = _settled(its, chosen)
            if answers is not None:
                found.append(Settling(chosen, answers))
        if found:
            return tuple(found)
    return ()


def _settled(its: Supposed, leaves: Sequence[Leaf]) -> tuple[Answer, ...] | None:
    """What every combination of answers makes of it, None where one leaves it open.

    Of several ranges all but the last are tried at `TRIES` values wherever they settle nothing alone.
    """
    order = sorted(leaves, key=lambda leaf: isinstance(leaf.domain, Span))
    *first, last = order
    tries = [list(_points(its, leaf)) for leaf in first]
    if math.prod(len(each) for each in tries) > WORLDS:
        return None
    made = []
    for world in itertools.product(*tries):
        view = {leaf.path: domain for leaf, domain in zip(first, world, strict=True)}
        for stretch in its.stretches(last, view):
            if stretch.verdict is Verdict.NOT_KNOWN and not _nothing(stretch.domain, last.domain):
                return None
            if stretch.verdict is not Verdict.NOT_KNOWN:
                made.append(Answer((*view.items(), (last.path, stretch.domain)), stretch.verdict))
    return tuple(made)


def _points(its: Supposed, leaf: Leaf) -> Iterator[Domain]:
    if isinstance(leaf.domain, Choice):
        yield from (Choice(frozenset({word})) for word in sorted(leaf.domain.options))
        return
    for stretch in its.stretches(leaf):
        if stretch.verdict is Verdict.NOT_KNOWN and isinstance(stretch.domain, Span):
            lo, hi = ends(stretch.domain)
            yield from (Span(x, x) for x in (lo + (hi - lo) * n / (TRIES - 1) for n in range(TRIES)))


def _nothing(part: Domain, whole: Domain) -> bool:
    """Whether a stretch is no more than the width of the halving."""
    if not isinstance(part, Span) or not isinstance(whole, Span):
        return False
    return part.hi - part.lo <= 4 * NEAR * max(abs(part.lo), abs(part.hi)) and part.lo > whole.lo


def deciding(its: Supposed) -> Deciding | None:
    """The leaf that decides most of an open verdict, by `share`, then by `moves`; None where none is asked."""
    said = its.said
    if said.verdict is not Verdict.NOT_KNOWN or said.step is None:
        return None
    step = said.step
    weighed = sorted(open_leaves(said), key=lambda leaf: (-influence(step, leaf), leaf.path))[:CANDIDATES]
    made = [_deciding(its, step, leaf) for leaf in weighed]
    return max(made, key=lambda each: (each.share, each.moves), default=None)


def _deciding(its: Supposed, step: Step, leaf: Leaf) -> Deciding:
    found = its.stretches(leaf)
    share = sum(_part(x.domain, leaf.domain) for x in found if x.verdict is not Verdict.NOT_KNOWN)
    return Deciding(leaf, min(1.0, share), influence(step, leaf), found)


def _part(some: Domain, whole: Domain) -> float:
    if isinstance(some, Choice) and isinstance(whole, Choice):
        return len(some.options) / len(whole.options)
    assert isinstance(some, Span) and isinstance(whole, Span)
    width = whole.hi - whole.lo
    if not math.isfinite(width):
        return 0.0 if math.isfinite(some.hi - some.lo) else 1.0
    return (some.hi - some.lo) / width if width else 1.0


UNSURE = frozenset({*WEAK, Origin.TABLE})
"""Origins of values that nobody found on this installation."""


def holds(case: Case, its: Supposed, origins: Container[Origin] = frozenset(Origin)) -> tuple[Hold, ...]:
    """How far each number of some origins beneath a settled verdict may move: weak ones first, then the closest.

    For an open verdict that what is assumed would make wrong: how far what is assumed may move. What is one of a
    few values and drifts to none between them is not moved: it is left out, or only named where it is assumed.
    """
    said = its.said
    step = said.step
    if step is None or said.verdict is Verdict.DOES_NOT_APPLY:
        return ()
    view: dict[str, Domain] = {}
    if said.verdict is Verdict.NOT_KNOWN:
        if not step.suggested:
            return ()
        view = {leaf.path: leaf.suggests for leaf in step.needs if leaf.suggests is not None}
        if its.verdict(view) is not Verdict.WRONG:
            return ()
    found = []
    for leaf in leaves_beneath(step):
        now = domain_of(leaf, view)
        bounds = _bounds(case, leaf, now)
        if leaf.origin not in origins or bounds is None or not isinstance(now, Span):
            continue
        if leaf.doubt is not None and not view:  # what was stated holds the verdict, not what was read beside it
            continue
        if view and leaf.path not in view:
            continue
        found.append(_hold(its, leaf, now, bounds, view))
    return tuple(sorted(found, key=lambda each: (each.leaf.origin not in WEAK, each.room, each.leaf.path)))


def _hold(its: Supposed, leaf: Leaf, now: Span, bounds: Span, view: View) -> Hold:
    moved = {}
    for side, start, end in (("below", now.lo, bounds.lo), ("above", now.hi, bounds.hi)):
        outward = end < start if side == "below" else end > start
        if outward and (found := its.change(leaf, view, start, end)) is not None:
            moved[side] = (found[1], its.verdict({**view, leaf.path: Span(found[1], found[1])}))
    below, above = moved.get("below", (None, None)), moved.get("above", (None, None))
    return Hold(leaf, now, bounds, below[0], above[0], below[1], above[1])


def _bounds(case: Case, leaf: Leaf, now: Domain) -> Span | None:
    """How far a leaf may be moved: its form's bounds, for a table a tenth to ten times; None for limits."""
    if not isinstance(leaf.domain, Span) or not isinstance(now, Span):
        return None
    if leaf.origin is Origin.TABLE:
        if not leaf.path.startswith("tables.") or leaf.settled:
            return None  # a limit stands beside what it is compared with; a constant of nature does not move
        lo, hi = leaf.domain.lo, leaf.domain.hi
        return Span(lo / TABLE_REACH if lo > 0 else lo, hi * TABLE_REACH if hi > 0 else hi)
    # A reading that stands in for a field is moved as far as the field may be.
    name, _, key = (leaf if leaf.stated is None else leaf.as_stated).path.rpartition(".")
    read = next((each.reading.what for each in case.readings if name == "readings" and each.name == key), "")
    its = sheet("reading").fields[read] if read else field_of(case, name, key)
    if its is None or its.bounds is None or not all(map(math.isfinite, (its.bounds.lo, its.bounds.hi))):
        return None
    if not its.drifts:
        return now if leaf.origin in WEAK else None
    return its.bounds


def beyond(left: Domain, right: Domain, op: str) -> tuple[float, float] | None:
    """The parts of a range that surely meet a comparison and that surely do not; None where there is no share.

    For `gt` and a limit of one value: the share above it, and the share up to it.
    """
    if not isinstance(left, Span) or not isinstance(right, Span):
        return None
    width = left.hi - left.lo
    if not width or not math.isfinite(width):
        return None
    over = max(0.0, left.hi - max(right.hi, left.lo)) / width
    under = max(0.0, min(right.lo, left.hi) - left.lo) / width
    return (over, under) if op in ("gt", "ge") else (under, over)


