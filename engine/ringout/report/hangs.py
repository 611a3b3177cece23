"""What a verdict hangs on, in words: the answers that settle it, and how far a value may move before it changes.

Blocks of a heading and bullets; each bullet is a line and those that stand under it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ringout.case.case import Case
from ringout.case.form import sheet
from ringout.inference.chain import Said, Verdict
from ringout.quantity.leaf import WEAK, Leaf, Origin
from ringout.quantity.span import Choice, Domain, Span
from ringout.review.needs import need_of
from ringout.review.sensitivity import UNSURE, Deciding, Hold, Settling, deciding, holds, least_sets
from ringout.review.suppose import Stretch, Supposed, open_leaves
from ringout.review.words import as_shown, fill, input_name, part_name, shown

Block = tuple[str, Sequence[Sequence[str]]]

SETS = 3
"""Sets of answers shown, where several of one size settle a verdict."""
OUTCOMES = 8
"""Outcomes of a set shown at most."""
STATED = 3
"""Stated values shown with the room they leave, the closest first."""
MOVING = 2
"""Assumed and tabled values shown where there is room for a line."""
OTHERS = 6
"""Further facts named that bear on an open verdict."""
SAYS = frozenset(Origin) - {Origin.NOT_STATED}
"""Origins of values of which something was said."""
FIRM = "no table's value changes it, from a tenth to ten times of what it is"
LICENSED = " Only from a licensed person's test or report."


def settling(case: Case, said: Said) -> Iterator[Block]:
    """What would settle an open verdict, what each outcome would mean, and what else bears on it."""
    if said.verdict is not Verdict.NOT_KNOWN or said.step is None:
        return
    its = Supposed(said)
    sets, bears = least_sets(its), open_leaves(said)
    named: list[Leaf] = []
    if sets:
        named = [leaf for each in sets[:SETS] for leaf in each.leaves]
        yield _heading(sets), [bullet for each in sets[:SETS] for bullet in _set(case, each)]
    elif (most := deciding(its)) is not None:
        named = [most.leaf]
        yield "What would settle it: no few answers do in every case; most hangs on", [_most(case, most)]
    else:
        yield "What would settle it: no answer can be asked for", []
    rest = [input_name(leaf.path, leaf.origin) for leaf in bears if leaf not in named]
    bullets = []
    if said.rule.finding is not None:
        facts = {alias: known.fact for alias, known in said.step.binding.items()}
        bullets.append([fill(said.rule.finding.confirm, facts, case)])
    if bullets:
        yield "Or a reading settles it", bullets
    if rest:
        more = f" and {len(rest) - OTHERS} more" if len(rest) > OTHERS else ""
        yield "Other facts that bear on it", [[", ".join(rest[:OTHERS]) + more]]


def _heading(sets: Sequence[Settling]) -> str:
    size = len(sets[0].leaves)
    if size == 1:
        return "What would settle it: " + ("one answer" if len(sets) == 1 else "any one of these")
    together = f"{('two', 'three')[size - 2]} answers together, no fewer"
    return f"What would settle it: {together}" + ("" if len(sets) == 1 else "; one of these sets")


def _set(case: Case, its: Settling) -> Iterator[list[str]]:
    outcomes = list(_outcomes(its))
    for leaf in its.leaves:
        lead = "and " if leaf is not its.leaves[0] else ""
        under = outcomes if leaf is its.leaves[-1] and len(outcomes) <= OUTCOMES else []
        yield [lead + _asked(case, leaf), *under]


def _asked(case: Case, leaf: Leaf) -> str:
    need = need_of(case, leaf)
    if need is None:
        part, _, key = leaf.path.partition(".place.")
        # A part of which nobody wrote where it stands has a place that no name stands for.
        its = sheet("place").fields.get(key)
        if its is None or not its.ask:
            return input_name(leaf.path, leaf.origin)
        return f"{leaf.path}: {part_name(case, part)}: {its.ask[0].lower()}{its.ask[1:]}"
    return f"{leaf.path}: {need.ask}" + (LICENSED if need.access == "licensed" else "")


def _outcomes(its: Settling) -> Iterator[str]:
    """Each combination of answers in a line; none where several are ranges, of which only some were tried."""
    if sum(isinstance(leaf.domain, Span) for leaf in its.leaves) > 1:
        return
    alone = len(its.leaves) == 1
    leaves = {leaf.path: leaf for leaf in its.leaves}
    keys = [path.rpartition(".")[2] for path in leaves]
    called = {path: path if keys.count(key) > 1 else key for path, key in zip(leaves, keys, strict=True)}
    for each in its.answers:
        said = [
            ("" if alone else f"{called[path]} ") + stretch_words(leaves[path], domain)
            for path, domain in each.given
            if alone or domain != leaves[path].domain
        ]
        yield f"{', '.join(said)}: {each.verdict.value}"


def _most(case: Case, most: Deciding) -> list[str]:
    lines = [f"{stretch_words(most.leaf, each.domain)}: {_still(each)}" for each in most.stretches]
    if most.share == 0.0:
        part = f"{100 * most.moves:.0f} % of the open range" if most.moves else "little of the open range"
        lines = [f"it alone settles nothing; it moves {part}"]
    return [_asked(case, most.leaf), *lines]


def _still(each: Stretch) -> str:
    return "still not known" if each.verdict is Verdict.NOT_KNOWN else each.verdict.value


def stretch_words(leaf: Leaf, domain: Domain) -> str:
    """Some of what a leaf may be: "AGM or gel", "up to 0.5 ohm", "above 3 m", "from 2 to 3 m".

    A value printed at an end is named as belonging to it or not: "below 0.5 ohm" and then "from 0.5 ohm".
    """
    if isinstance(domain, Choice):
        words = sorted(word.replace("_", " ") for word in domain.options)
        return " or ".join(words) if len(words) < 3 else f"{', '.join(words[:-1])} or {words[-1]}"
    whole = leaf.domain
    assert isinstance(whole, Span)
    if domain == whole:
        return f"whatever it is, {shown(domain, leaf.dimension)}"
    if domain.exact:
        return shown(domain, leaf.dimension)
    low, high = _value(leaf, domain.lo), _value(leaf, domain.hi)
    beyond = as_shown(domain.lo, leaf.dimension) < domain.lo
    short = as_shown(domain.hi, leaf.dimension) > domain.hi
    if domain.lo == whole.lo:
        return f"below {high}" if short else f"up to {high}"
    if domain.hi == whole.hi:
        return f"above {low}" if beyond else f"from {low}"
    return f"{'above' if beyond else 'from'} {low} {'to below' if short else 'to'} {high}"


def _value(leaf: Leaf, x: float) -> str:
    return shown(Span(x, x), leaf.dimension)


def hangs(case: Case, said: Said) -> Iterator[Block]:
    """How far what a verdict rests on may move before the verdict changes: what is assumed or tabled, the rest."""
    found = holds(case, Supposed(said), SAYS)
    weak = [each for each in found if each.leaf.origin in WEAK]
    tables = [each for each in found if each.leaf.origin is Origin.TABLE]
    stated = [each for each in found if each not in weak and each not in tables and each.leaf.known]
    bullets = [[hold_words(each, said)] for each in weak]
    bullets += [[hold_words(each, said)] for each in tables if not each.firm]
    if tables and all(each.firm for each in tables):
        bullets.append([FIRM])
    bullets += [[hold_words(each, said)] for each in stated if not each.firm][:STATED]
    if not bullets:
        return
    if said.verdict is Verdict.NOT_KNOWN:
        yield "It would be wrong if what is only assumed were so", bullets
    else:
        yield f"How far a value may move before this is no longer {said.verdict.value}", bullets


def moving(case: Case, said: Said) -> list[str]:
    """In words, the closest of the assumed and tabled values beneath a verdict that could change it."""
    return [hold_words(each, said) for each in holds(case, Supposed(said), UNSURE) if not each.firm][:MOVING]


def hold_words(its: Hold, said: Said) -> str:
    """One value and the room it leaves: "fridge.current, 6 to 7 A (label): wrong above 3.6 A, else not known"."""
    leaf = its.leaf
    name = input_name(leaf.path, leaf.origin)
    lead = f"{name}, {shown(its.now, leaf.dimension)} ({leaf.origin.value})"
    if leaf.doubt is not None:
        lead = f"{leaf.path}, read as {leaf.doubt.text} and in doubt"
    elif leaf.hint is not None:
        lead = f"{leaf.path}, only {leaf.origin.value} to be {shown(leaf.hint, leaf.dimension)}"
    verdict = Verdict.WRONG.value if said.verdict is Verdict.NOT_KNOWN else said.verdict.value
    if said.verdict is Verdict.NOT_KNOWN and its.bounds == its.now:
        return f"{lead}: {verdict} if so"
    if its.firm:
        return f"{lead}: {verdict} whatever it is, {shown(its.bounds, leaf.dimension)}"
    ends = []
    if its.below is not None and its.becomes_below is not None:
        ends.append((f"above {_value(leaf, its.below)}", f"{its.becomes_below.value} below that"))
    if its.above is not None and its.becomes_above is not None:
        ends.append((f"below {_value(leaf, its.above)}", f"{its.becomes_above.value} above that"))
    return f"{lead}: {verdict} {' and '.join(x for x, _ in ends)}; {', '.join(x for _, x in ends)}"
