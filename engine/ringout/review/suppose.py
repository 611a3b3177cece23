"""What a verdict would be if a leaf had another value: the rule judged again, down through what it stands on.

A verdict over the values of one leaf is a row of stretches, each with one verdict.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ringout.inference.chain import ORDER, Known, Said, Step, Verdict, judge_step
from ringout.inference.judge import Test, Truth
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import NO_VIEW, Value, View, domain_of, leaves_of, paths_of
from ringout.review.change import Compared, change, passed
from ringout.review.words import as_shown

FAR = 1e6
"""Where a range has no end, this much further than its other end is looked."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Values of one leaf, all words of a choice or a range with its ends, that lead to one verdict."""

    domain: Domain
    verdict: Verdict


class Supposed:
    """A verdict judged again with other values; what was judged once is not judged again."""

    def __init__(self, said: Said) -> None:
        self.said = said
        self._verdicts: dict[frozenset[tuple[str, Domain]], Verdict] = {}
        self._stretches: dict[tuple[str, frozenset[tuple[str, Domain]]], tuple[Stretch, ...]] = {}
        self._beneath: dict[int, frozenset[str]] = {}

    def verdict(self, view: View) -> Verdict:
        """The verdict if the leaves of `view` had those domains; DOES_NOT_APPLY where nothing is left to judge."""
        key = frozenset(view.items())
        if key not in self._verdicts:
            kept: dict[int, Known | None] = {}
            steps = [made for step in self.said.steps if (made := self._again(step, view, kept)) is not None]
            worst = min((made.verdict for made in steps), key=ORDER.index, default=Verdict.DOES_NOT_APPLY)
            self._verdicts[key] = worst
        return self._verdicts[key]

    def stretches(self, leaf: Leaf, view: View = NO_VIEW) -> tuple[Stretch, ...]:
        """The verdict over all that a leaf may be (by `view` or by itself), the other leaves as `view` has them."""
        key = leaf.path, frozenset(view.items())
        if key not in self._stretches:
            domain = domain_of(leaf, view)
            found = self._words(leaf, view, domain) if isinstance(domain, Choice) else self._ranges(leaf, view, domain)
            self._stretches[key] = tuple(found)
        return self._stretches[key]

    def change(self, leaf: Leaf, view: View, inside: float, outside: float) -> tuple[float, float] | None:
        """Two neighbouring values of a leaf, where the verdict first changes on the way from `inside` to `outside`."""
        still = self._at(leaf, view, inside)
        whole = leaf.dimension == "count"
        places = passed(self._compared(leaf), leaf, view, inside, outside)
        found = change(lambda x: self._at(leaf, view, x) is still, inside, outside, whole, places)
        for near in found or ():
            # Where the number that a reader sees lies between, it is looked at: what is said of it must hold there.
            x = as_shown(near, leaf.dimension)
            if found is not None and min(found) < x < max(found):
                found = (x, found[1]) if self._at(leaf, view, x) is still else (found[0], x)
        return found

    def _at(self, leaf: Leaf, view: View, x: float) -> Verdict:
        return self.verdict({**view, leaf.path: Span(x, x)})

    def _ranges(self, leaf: Leaf, view: View, domain: Span) -> Iterator[Stretch]:
        start, end = ends(domain)
        first = domain.lo
        while start < end and (found := self.change(leaf, view, start, end)) is not None:
            yield Stretch(Span(first, found[0]), self._at(leaf, view, start))
            first = start = found[1]
        yield Stretch(Span(first, domain.hi), self._at(leaf, view, start))

    def _words(self, leaf: Leaf, view: View, domain: Choice) -> Iterator[Stretch]:
        made: dict[Verdict, list[str]] = {}
        for word in sorted(domain.options):
            verdict = self.verdict({**view, leaf.path: Choice(frozenset({word}))})
            made.setdefault(verdict, []).append(word)
        for verdict in sorted(made, key=ORDER.index):
            yield Stretch(Choice(frozenset(made[verdict])), verdict)

    def _again(self, step: Step, view: View, kept: dict[int, Known | None]) -> Step | None:
        """A step under the view, None where a fact of it falls away."""
        if self._rests_on(step).isdisjoint(view):
            return step  # as it was judged
        bound = {}
        for alias, known in step.binding.items():
            made = self._known(known, view, kept)
            if made is None:
                return None
            bound[alias] = made
        return judge_step(step.rule, bound, view)

    def _known(self, known: Known, view: View, kept: dict[int, Known | None]) -> Known | None:
        """A fact under the view, None where it falls away; `kept` holds those judged before."""
        if id(known) not in kept:
            kept[id(known)] = self._concluded(known, view, kept) if known.steps else _given(known, view)
        return kept[id(known)]

    def _concluded(self, known: Known, view: View, kept: dict[int, Known | None]) -> Known | None:
        again = [made for step in known.steps if (made := self._again(step, view, kept)) is not None]
        telling = [made for made in again if made.verdict in (Verdict.WRONG, Verdict.NOT_KNOWN)]
        if not telling:
            return None
        sure = any(made.verdict is Verdict.WRONG for made in telling)
        needs = {} if sure else {leaf.path: leaf for made in telling for leaf in made.needs}
        return Known(known.fact, Truth.YES if sure else Truth.OPEN, tuple(needs.values()), known.steps)

    def _rests_on(self, step: Step) -> frozenset[str]:
        """The paths of all leaves that a step and what it stands on are made of."""
        if id(step) not in self._beneath:
            own = [leaf.path for known in step.binding.values() for leaf in known.fact.standing]
            own += [leaf.path for value in _values(step) for leaf in leaves_of(value)]
            earlier = [self._rests_on(each) for known in step.binding.values() for each in known.steps]
            self._beneath[id(step)] = frozenset(own).union(*earlier)
        return self._beneath[id(step)]

    def _compared(self, leaf: Leaf) -> list[Compared]:
        """The pairs of numbers compared anywhere beneath that rest on a leaf."""
        found: dict[int, Compared] = {}
        steps = list(self.said.steps)
        for step in steps:
            if leaf.path not in self._rests_on(step):
                continue
            for test in _tests(step):
                if test.right is not None and (leaf.path in paths_of(test.left) or leaf.path in paths_of(test.right)):
                    found[id(test)] = test.left, test.right
            steps += [each for known in step.binding.values() for each in known.steps]
        return list(found.values())


def _tests(step: Step) -> tuple[Test, ...]:
    return *step.given.tests, *step.when.tests, *step.unless.tests


def _values(step: Step) -> list[Value]:
    return [value for test in _tests(step) for value in (test.left, test.right) if value is not None]


def _given(known: Known, view: View) -> Known | None:
    open_ = []
    for leaf in known.fact.standing:
        domain = domain_of(leaf, view)
        if not isinstance(domain, Choice) or not domain.exact:
            open_.append(leaf)
        elif domain.only == "no":
            return None
    if len(open_) == len(known.needs):
        return known
    return Known(known.fact, Truth.OPEN if open_ else Truth.YES, tuple(open_))


def open_leaves(said: Said) -> tuple[Leaf, ...]:
    """The leaves that could settle an open verdict, of every step of it that is open, by path."""
    steps = [step for step in said.steps if step.verdict is Verdict.NOT_KNOWN]
    found = {leaf.path: leaf for step in steps for leaf in step.needs}
    return tuple(found[path] for path in sorted(found))


def ends(domain: Span) -> tuple[float, float]:
    """Both ends of a range, far off where it has none."""
    lo = domain.lo if math.isfinite(domain.lo) else min(-FAR, -FAR * abs(domain.hi))
    hi = domain.hi if math.isfinite(domain.hi) else max(FAR, FAR * abs(lo))
    return lo, hi
