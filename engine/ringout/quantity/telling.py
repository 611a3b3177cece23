"""Which leaves beneath a value tell anything of it: those that are open, that matter, and how far each moves it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence, Set
from operator import attrgetter
from typing import cast

from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Span
from ringout.quantity.traced import NO_VIEW, WORLDS, Point, Traced, Value, View, beneath, domain_of, ends_of

FEW = 2
"""So many leaves are looked for one by one."""
NOTHING: Mapping[str, Leaf] = {}


def said_of(value: Value) -> View:
    """What was said of the leaves beneath by somebody who cannot know it."""
    return {path: leaf.word for path, leaf in beneath(value).items() if leaf.word is not None}


def open_leaves(value: Value, view: View = NO_VIEW) -> tuple[Leaf, ...]:
    """The leaves beneath that are not settled to one point."""
    found = [leaf for path, leaf in beneath(value).items() if not view.get(path, leaf.domain).exact]
    return tuple(sorted(found, key=attrgetter("path")))


def telling_leaves(value: Value, view: View = NO_VIEW) -> tuple[Leaf, ...]:
    """The open leaves beneath that can change the value at all, as far as it is a word made of words.

    A leaf that no world of the others lets matter (how a changeover works, where nothing lapses) is left out.
    """
    leaves = open_leaves(value, view)
    if isinstance(value, Leaf) or any(isinstance(leaf.domain, Span) for leaf in leaves):
        return leaves
    domains = [domain_of(leaf, view) for leaf in leaves]
    options = [sorted(domain.options) for domain in domains if isinstance(domain, Choice)]
    if math.prod(len(each) for each in options) > WORLDS:
        return leaves
    settled = {leaf.path: domain_of(leaf, view) for leaf in value.leaves if leaf not in leaves}
    base: dict[str, Point] = {
        path: domain.only if isinstance(domain, Choice) else domain.lo for path, domain in settled.items()
    }
    results = {
        chosen: value.at(base | {leaf.path: word for leaf, word in zip(leaves, chosen, strict=True)})
        for chosen in itertools.product(*options)
    }
    return tuple(
        leaf
        for place, leaf in enumerate(leaves)
        if any(
            results[chosen] != results[(*chosen[:place], word, *chosen[place + 1 :])]
            for chosen in results
            for word in options[place]
        )
    )


def asked_of(value: Value, view: View = NO_VIEW) -> Mapping[str, Leaf]:
    """The telling leaves by path, without what a table leaves open: nobody can be asked for that."""
    if isinstance(value, Leaf):
        alone = value.origin is Origin.TABLE or view.get(value.path, value.domain).exact
        return NOTHING if alone else {value.path: value}
    if view:
        return _asked(value, view)
    if value.asked is None:
        value.asked = _asked(value, view)
    return value.asked


def _asked(value: Traced, view: View) -> Mapping[str, Leaf]:
    return {leaf.path: leaf for leaf in telling_leaves(value, view) if leaf.origin is not Origin.TABLE}


def swing(value: Value, leaf: Leaf) -> float:
    """How far the value moves when one open leaf runs over its domain, the others at their middle.

    Zero where the leaf does not matter or the value is a word that stays the same, one where a word changes.
    """
    return swings(value, {leaf.path}).get(leaf.path, 0.0)


def swings(value: Value, paths: Set[str]) -> dict[str, float]:
    """The swing of a value by each leaf of some paths; those that are not beneath it are left out."""
    if isinstance(value, Leaf):
        return {value.path: _apart(ends_of(value.domain))} if value.path in paths else {}
    few = len(paths) <= FEW
    beneath = {path for path in paths if value.rests_on(path)} if few else paths & value.paths
    if not beneath:
        return {}
    moved = value.moved(beneath)
    return {path: _apart(moved[path]) for path in beneath}


def _apart(results: Sequence[Point]) -> float:
    if isinstance(results[0], str):
        return 0.0 if len(set(results)) == 1 else 1.0
    numbers = cast("Sequence[float]", results)
    return float(max(numbers) - min(numbers))
