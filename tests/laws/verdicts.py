"""Reviews as the laws count them: right, does not apply and no verdict at all are one, not wrong."""

from __future__ import annotations

from collections.abc import Iterator

from ringout.case.case import Case
from ringout.facts.catalogue import catalogue
from ringout.facts.gather import gather
from ringout.inference.chain import Chained, Said, Step, Verdict, chain
from ringout.inference.plain import PlainMatcher
from ringout.rulebase.load import rulebase

NOT_WRONG, NOT_YET = "not wrong", "not known"
NOTED = {each.name for each in catalogue().values() if each.noted} | {"mark", "run_mark", "wired_in"}
"""Facts that exist only because somebody noted something: noting it for the first time is a new finding."""


def reviewed(case: Case) -> Chained:
    return chain(rulebase(), gather(case), PlainMatcher)


def standing(said: Said | None) -> str:
    """A verdict as the laws count it."""
    if said is None or said.verdict in (Verdict.RIGHT, Verdict.DOES_NOT_APPLY):
        return NOT_WRONG
    return said.verdict.value


def moves(
    before: Chained, after: Chained, supposed: frozenset[str] = frozenset()
) -> Iterator[tuple[str, str, str, str]]:
    """Rule, anchor, and how it stood before and stands after, of all that is said before or after.

    Left out is what rests on a fact that was none before, because nobody had noted it or its part was one of those
    that were only `supposed`; and what is open by a reading in doubt: it surprises beside what is known, and where
    less is known, or something else, it may fit and count.
    """
    was, now = by_subject(before), by_subject(after)
    for key in sorted(was.keys() | now.keys()):
        if in_doubt(was.get(key)) or in_doubt(now.get(key)):
            continue
        if key not in now or not newly_seen(now[key].step, before, supposed):
            yield *key, standing(was.get(key)), standing(now.get(key))


def in_doubt(said: Said | None) -> bool:
    """Whether a verdict is open by a reading in doubt."""
    return said is not None and any(leaf.doubt is not None for step in said.steps for leaf in step.needs)


def by_subject(out: Chained) -> dict[tuple[str, str], Said]:
    return {(said.rule.name, said.anchor.id): said for said in out.said}


def newly_seen(step: Step | None, before: Chained, supposed: frozenset[str]) -> bool:
    """Whether a step rests on a fact that was none before: nobody had noted it, or its part was only supposed."""
    return step is not None and any(
        (known.fact.id not in before.facts and (known.fact.type in NOTED or supposed & {*known.fact.keys.values()}))
        or any(newly_seen(earlier, before, supposed) for earlier in known.steps)
        for known in step.binding.values()
    )
