"""Traced values: physics written on points, lifted over leaves.

A formula is a plain function of floats (and words). `Formula.of` applies it to leaves and other traced values
and remembers what it was made of. The range of a traced value is found by evaluating the *whole* chain of
functions at corners of *its own leaves*, so that a leaf used twice is counted once.

This is exact where the chain is monotone in each numeric leaf taken alone and, above `FULL_CORNERS` of them,
where each leaf moves it the same way whatever the others are. `max`, `min`, `abs` of a value that changes
sign and ratios of outputs are therefore kept out of formulas, and a property test samples every computed
value of every case: no sampled point may leave its range.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, KeysView, Mapping, Sequence, Set

from ringout.quantity.leaf import Leaf
from ringout.quantity.program import Program
from ringout.quantity.span import Choice, Domain, Span

Point = float | str
View = Mapping[str, Domain]
"""Leaf path -> domain to use in place of the leaf's own (splitting, what-if, supposed values)."""

NO_VIEW: View = {}
WORLDS = 64
"""Most combinations of open word choices that are walked through; beyond it the answer is the widest."""
DEEP = 3
"""Down to so many values beneath one another a leaf is looked for; farther down lies what many values share."""
VIEWS = 256
"""So many ranges under views are remembered."""
FULL_CORNERS = 6
"""Up to this many open numeric leaves every corner is evaluated; above it a coordinate search is used."""


class Traced:
    """A computed value: `fn` applied to `inputs`, in `dimension`, with the `formula` and `source` to show.

    `widest` is what is said when more than `WORLDS` combinations of words would have to be tried. A large case
    holds tens of thousands: slots, and what is worked out once in slots of its own, spare each its dictionary.
    """

    __slots__ = (
        "_beneath", "_leaves", "_middle_slots", "_moved", "_own", "_program", "_viewed", "_words",
        "asked", "dimension", "fn", "formula", "inputs", "name", "source", "widest",
    )  # fmt: skip

    def __init__(
        self,
        fn: Callable[..., Point],
        inputs: tuple[Value, ...],
        *,
        name: str,
        dimension: str = "",
        formula: str = "",
        source: str = "",
        widest: Domain | None = None,
    ) -> None:
        self.fn = fn
        self.inputs = inputs
        self.name = name
        self.dimension = dimension
        self.formula = formula
        self.source = source
        self.widest = widest
        self.asked: Mapping[str, Leaf] | None = None  # kept here by `telling.asked_of`
        self._own: Domain | None = None
        self._viewed: dict[tuple[tuple[str, Domain], ...], Domain] | None = None
        self._beneath: dict[str, Leaf] | None = None
        self._leaves: tuple[Leaf, ...] | None = None
        self._words: tuple[Leaf, ...] | None = None
        self._program: Program | None = None
        self._middle_slots: list[Point] | None = None
        self._moved: dict[str, list[Point]] | None = None

    @property
    def beneath(self) -> Mapping[str, Leaf]:
        """All leaves beneath by path, as they are met."""
        if self._beneath is None:
            found: dict[str, Leaf] = {}
            for each in self.inputs:
                if isinstance(each, Leaf):
                    found[each.path] = each
                else:
                    found.update(each.beneath)
            self._beneath = found
        return self._beneath

    @property
    def leaves(self) -> tuple[Leaf, ...]:
        """All leaves beneath, each once, by path."""
        if self._leaves is None:
            found = self.beneath
            self._leaves = tuple([found[path] for path in sorted(found)])
        return self._leaves

    @property
    def paths(self) -> KeysView[str]:
        """The paths of all leaves beneath."""
        return self.beneath.keys()

    def rests_on(self, path: str, deep: int = DEEP) -> bool:
        """Whether a leaf lies beneath; so far down nothing is put together for the answer."""
        if not deep or self._beneath is not None:
            return path in self.beneath
        for each in self.inputs:
            if each.path == path if isinstance(each, Leaf) else each.rests_on(path, deep - 1):
                return True
        return False

    @property
    def words(self) -> tuple[Leaf, ...]:
        """The leaves beneath that are open between words."""
        if self._words is None:
            found: dict[str, Leaf] = {}
            for each in self.inputs:
                if not isinstance(each, Leaf):
                    for leaf in each.words:
                        found[leaf.path] = leaf
                elif isinstance(each.domain, Choice) and not each.domain.exact:
                    found[each.path] = each
            self._words = tuple(found.values())
        return self._words

    def at(self, point: Mapping[str, Point]) -> Point:
        """The value at one point: a choice for every open leaf; settled leaves may be left out.

        Raises ValueError where an open leaf is left out.
        """
        full: dict[str, Point] = {}
        for leaf in self.leaves:
            if leaf.path in point:
                full[leaf.path] = point[leaf.path]
            elif leaf.settled:
                full[leaf.path] = leaf.domain.lo if isinstance(leaf.domain, Span) else leaf.domain.only
            else:
                raise ValueError(f"{leaf.path} is still open")
        return self.program.run(full)[-1]

    @property
    def program(self) -> Program:
        """The functions beneath, laid out flat."""
        if self._program is None:
            self._program = Program(self)
        return self._program

    @property
    def middle(self) -> Point:
        """The value with every leaf at the middle of its domain, or at the first of its words."""
        return self._at_middle()[-1]

    def _at_middle(self) -> list[Point]:
        if self._middle_slots is None:
            self._middle_slots = self.program.run({leaf.path: middle_of(leaf.domain) for leaf in self.leaves})
        return self._middle_slots

    def moved(self, beneath: Set[str]) -> Mapping[str, list[Point]]:
        """The value with one leaf at each of its ends (or words), the others at their middle.

        By path, for the leaves of some paths, all beneath it; more may be there, as all is remembered.
        """
        known = self._moved
        if known is None:
            known = self._moved = {}
        if new := beneath - known.keys():
            self._move(new, known)
        return known

    def _move(self, beneath: Set[str], known: dict[str, list[Point]]) -> None:
        middle, change = self._at_middle(), self.program.change
        for leaf in self.leaves:
            if leaf.path in beneath:
                known[leaf.path] = [change(middle, leaf.path, end)[-1] for end in ends_of(leaf.domain)]

    def nudged(self, leaf: Leaf, factor: float) -> Point:
        """The value with one number beneath multiplied, the others at their middle."""
        middle = self._at_middle()
        at = middle[self.program.slot[leaf.path]]
        return self.program.change(middle, leaf.path, float(at) * factor)[-1]

    def domain(self, view: View = NO_VIEW) -> Domain:
        """Range (or set of words) over the domains of the leaves, `view` replacing some of them."""
        key = tuple([(path, domain) for path, domain in view.items() if path in self.beneath]) if view else ()
        if not key:
            if self._own is None:
                self._own = self._spread(NO_VIEW)
            return self._own
        if self._viewed is None or len(self._viewed) > VIEWS:
            self._viewed = {}  # what tables alone make lives as long as the program
        if key not in self._viewed:
            self._viewed[key] = self._spread(dict(key))
        return self._viewed[key]

    def _spread(self, view: View) -> Domain:
        results = self._over_inputs(view) or self._over_leaves(view)
        if isinstance(results, Choice | Span):
            return results
        if isinstance(results[0], str):
            return Choice(frozenset(str(r) for r in results))
        numbers = [float(r) for r in results]
        return Span(min(numbers), max(numbers))

    def _over_inputs(self, view: View) -> list[Point]:
        """The results of one function of leaves, each given once, at all their ends; none for anything else."""
        ends: list[Sequence[Point]] = []
        for each in self.inputs:
            if not isinstance(each, Leaf):
                return []
            domain = view.get(each.path, each.domain)
            ends.append((domain.lo,) if isinstance(domain, Span) and domain.exact else ends_of(domain))
        if len(self.beneath) < len(ends) or math.prod([len(each) for each in ends]) > WORLDS:
            return []
        return [self.fn(*corner) for corner in itertools.product(*ends)]

    def _over_leaves(self, view: View) -> list[Point] | Domain:
        """The results at corners of all leaves beneath; where those are too many the widest there is."""
        words: list[tuple[str, list[str]]] = []
        spans: list[tuple[str, Span]] = []
        base: dict[str, Point] = {}
        for leaf in self.leaves:
            domain = view.get(leaf.path, leaf.domain)
            if isinstance(domain, Choice):
                words.append((leaf.path, sorted(domain.options)))
            elif domain.exact:
                base[leaf.path] = domain.lo
            else:
                spans.append((leaf.path, domain))
        if math.prod(len(options) for _, options in words) > WORLDS:
            if self.widest is not None:
                return self.widest
            raise TooManyWorlds(self.name, [path for path, options in words if len(options) > 1])
        results: list[Point] = []
        for chosen in itertools.product(*(options for _, options in words)):
            world = base | dict(zip((path for path, _ in words), chosen, strict=True))
            results += _extremes(self, world, spans)
        return results


class TooManyWorlds(Exception):
    """A value depends on more open word choices than are walked through, and names no widest answer."""


Value = Leaf | Traced


def leaves_of(value: Value) -> tuple[Leaf, ...]:
    """The leaves beneath a value; a leaf is its own."""
    return (value,) if isinstance(value, Leaf) else value.leaves


def beneath(value: Value) -> Mapping[str, Leaf]:
    """The leaves beneath a value by path; a leaf is its own."""
    return {value.path: value} if isinstance(value, Leaf) else value.beneath


def paths_of(value: Value) -> KeysView[str]:
    """The paths of the leaves beneath a value; a leaf's own."""
    return beneath(value).keys()


def apart(one: Value, other: Value) -> bool:
    """Whether two values rest on nothing together."""
    if isinstance(other, Leaf):
        return one.path != other.path if isinstance(one, Leaf) else not one.rests_on(other.path)
    return apart(other, one) if isinstance(one, Leaf) else one.paths.isdisjoint(other.paths)


def domain_of(value: Value, view: View = NO_VIEW) -> Domain:
    """Range or set of words of a leaf or a traced value."""
    return view.get(value.path, value.domain) if isinstance(value, Leaf) else value.domain(view)


class Formula:
    """A point function with what a reader must know of it. Call it with numbers, or `of` with values."""

    def __init__(self, fn: Callable[..., Point], formula: str, dimension: str, source: str) -> None:
        self.fn = fn
        self.formula = formula
        self.dimension = dimension
        self.source = source
        self.__doc__ = fn.__doc__
        self.__name__ = fn.__name__

    def __call__(self, *args: Point) -> Point:
        return self.fn(*args)

    def of(self, *inputs: Value, name: str = "", dimension: str = "", widest: Domain | None = None) -> Traced:
        """Apply to leaves and traced values; a formula for any dimension is told which one it is here."""
        return Traced(
            self.fn,
            inputs,
            name=name or self.__name__,
            dimension=dimension or self.dimension,
            formula=self.formula,
            source=self.source,
            widest=widest,
        )


def formula(text: str, *, dimension: str, source: str) -> Callable[[Callable[..., Point]], Formula]:
    """Declare a point function as a formula: its text, the dimension of its result, its published source."""
    return lambda fn: Formula(fn, text, dimension, source)


def _extremes(value: Traced, world: dict[str, Point], spans: list[tuple[str, Span]]) -> list[Point]:
    """Results among which the lowest and the highest are found, `world` fixing all but `spans`."""
    program = value.program
    start = program.run(world | {path: span.lo for path, span in spans})
    if len(spans) <= FULL_CORNERS:
        return [slots[-1] for slots in _corners(program, start, spans)]
    if isinstance(start[-1], str):
        raise TooManyWorlds(value.name, [path for path, _ in spans])
    return [_climb(program, start, spans, -1.0), _climb(program, start, spans, 1.0)]


def _corners(program: Program, start: list[Point], spans: list[tuple[str, Span]]) -> Iterator[list[Point]]:
    """All corners, each from its neighbour by one change."""
    if not spans:
        yield start
        return
    (path, span), rest = spans[0], spans[1:]
    yield from _corners(program, start, rest)
    yield from _corners(program, program.change(start, path, span.hi), rest)


def _climb(program: Program, start: list[Point], spans: list[tuple[str, Span]], sign: float) -> Point:
    """Coordinate search over corners; ends at the extreme where each leaf always moves the value one way."""
    here, best = start, float(start[-1])
    moved = True
    while moved:
        moved = False
        for path, span in spans:
            at = here[program.slot[path]]
            there = program.change(here, path, span.hi if at == span.lo else span.lo)
            result = float(there[-1])
            if sign * (result - best) > 0:
                here, best, moved = there, result, True
    return best


def ends_of(domain: Domain) -> list[Point]:
    """Both ends of a range, or all words."""
    return [domain.lo, domain.hi] if isinstance(domain, Span) else list(sorted(domain.options))


def middle_of(domain: Domain) -> Point:
    """The middle of a range, or the first of some words."""
    return (domain.lo + domain.hi) / 2 if isinstance(domain, Span) else min(domain.options)
