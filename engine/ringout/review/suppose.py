"""What a verdict would be if a leaf had another value: the rule judged again, down through what it stands on.

A verdict over the values of one leaf is a row of stretches, each with one verdict. Where they meet is found by
halving: a verdict changes with a number at most twice, from one answer over "not known" to the other.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial

from ringout.inference.chain import ORDER, Known, Said, Step, Verdict, judge_step
from ringout.inference.judge import Truth
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Domain, Span
from ringout.quantity.traced import View, domain_of

HALVINGS = 60
NEAR = 1e-4
"""Two values closer than this part of themselves are one."""
FAR = 1e6
"""Where a range has no end, this much further than its other end is looked."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Values of one leaf, all words of a choice or a range with its ends, that lead to one verdict."""

    domain: Domain
    verdict: Verdict


def verdict_with(said: Said, view: View) -> Verdict:
    """The verdict if the leaves of `view` had those domains; DOES_NOT_APPLY where nothing is left to judge."""
    kept: dict[int, Known | None] = {}
    steps = [made for step in said.steps if (made := _again(step, view, kept)) is not None]
    return min((made.verdict for made in steps), key=ORDER.index, default=Verdict.DOES_NOT_APPLY)


def _again(step: Step, view: View, kept: dict[int, Known | None]) -> Step | None:
    bound = {}
    for alias, known in step.binding.items():
        made = _known(known, view, kept)
        if made is None:
            return None
        bound[alias] = made
    return judge_step(step.rule, bound, view)


def _known(known: Known, view: View, kept: dict[int, Known | None]) -> Known | None:
    """A fact under the view, None where it falls away; `kept` holds those judged before."""
    if id(known) not in kept:
        kept[id(known)] = _concluded(known, view, kept) if known.steps else _given(known, view)
    return kept[id(known)]


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


def _concluded(known: Known, view: View, kept: dict[int, Known | None]) -> Known | None:
    again = [made for step in known.steps if (made := _again(step, view, kept)) is not None]
    telling = [made for made in again if made.verdict in (Verdict.WRONG, Verdict.NOT_KNOWN)]
    if not telling:
        return None
    sure = any(made.verdict is Verdict.WRONG for made in telling)
    needs = {} if sure else {leaf.path: leaf for made in telling for leaf in made.needs}
    return Known(known.fact, Truth.YES if sure else Truth.OPEN, tuple(needs.values()), known.steps)


def open_leaves(said: Said) -> tuple[Leaf, ...]:
    """The leaves that could settle an open verdict, of every step of it that is open, by path."""
    steps = [step for step in said.steps if step.verdict is Verdict.NOT_KNOWN]
    found = {leaf.path: leaf for step in steps for leaf in step.needs}
    return tuple(found[path] for path in sorted(found))


def stretches(said: Said, leaf: Leaf, view: View) -> tuple[Stretch, ...]:
    """The verdict over all that a leaf may be (by `view` or by itself), the other leaves as `view` has them."""
    domain = domain_of(leaf, view)
    if isinstance(domain, Choice):
        return tuple(_words(said, leaf, view, domain))
    whole = leaf.dimension == "count"
    return tuple(_ranges(lambda x: verdict_with(said, {**view, leaf.path: Span(x, x)}), domain, whole))


def _words(said: Said, leaf: Leaf, view: View, domain: Choice) -> Iterator[Stretch]:
    made: dict[Verdict, list[str]] = {}
    for word in sorted(domain.options):
        verdict = verdict_with(said, {**view, leaf.path: Choice(frozenset({word}))})
        made.setdefault(verdict, []).append(word)
    for verdict in sorted(made, key=ORDER.index):
        yield Stretch(Choice(frozenset(made[verdict])), verdict)


def _ranges(at: Callable[[float], Verdict], domain: Span, whole: bool) -> Iterator[Stretch]:
    lo, hi = ends(domain)
    start = lo
    here = at(lo)
    while True:
        last = at(hi) if start < hi else here
        if last is here:
            # The same verdict at both ends is taken to hold between them.
            yield Stretch(Span(_end(domain.lo, start, lo), domain.hi), here)
            return
        inside, outside = change(partial(_same, at, here), start, hi, whole)
        yield Stretch(Span(_end(domain.lo, start, lo), inside), here)
        start, here = outside, at(outside)


def _same(at: Callable[[float], Verdict], verdict: Verdict, x: float) -> bool:
    return at(x) is verdict


def _end(written: float, start: float, first: float) -> float:
    """The lower end of a stretch: as written, also where that has no end, for the first of them."""
    return written if start == first else start


def ends(domain: Span) -> tuple[float, float]:
    """Both ends of a range, far off where it has none."""
    lo = domain.lo if math.isfinite(domain.lo) else min(-FAR, -FAR * abs(domain.hi))
    hi = domain.hi if math.isfinite(domain.hi) else max(FAR, FAR * abs(lo))
    return lo, hi


def change(holds: Callable[[float], bool], inside: float, outside: float, whole: bool) -> tuple[float, float]:
    """Two neighbouring values, the first still as `inside`, which holds, the second already as `outside`."""
    for _ in range(HALVINGS):
        middle = (inside + outside) / 2
        if whole:
            middle = float(math.floor(middle) if outside > inside else math.ceil(middle))
            if middle == inside:
                break
        elif abs(outside - inside) <= NEAR * abs(middle):
            break
        if holds(middle):
            inside = middle
        else:
            outside = middle
    return inside, outside
