"""Conditions judged anew from raw YAML: at a point by true and false, over ranges by three values.

Three-valued truth is 1 (true), 0 (false) or 0.5 (not known): and is the least, or the greatest, not is one less it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from knowledge import dimension, limits
from written import CannotRead, span

YES, OPEN, NO = 1.0, 0.5, 0.0
NUMERIC = {"gt", "ge", "lt", "le"}


def sides(condition: Any) -> list[str]:
    """Every ``alias.attribute`` that a condition reads."""
    if condition is None:
        return []
    ((op, body),) = condition.items()
    if op in ("all", "any"):
        return [each for part in body for each in sides(part)]
    if op == "not":
        return sides(body)
    found = [body[0]]
    if op in NUMERIC:
        right = body[1]
        if isinstance(right, dict):
            found += [right["by"]] if "by" in right else []
        elif not _amount(right):
            found.append(right)
    return found


def _amount(text: str) -> bool:
    return text[:1].isdigit() or text[:1] in "+-"


def truth(condition: Any, domain: Callable[[str], Any], types: Mapping[str, str]) -> float:
    """Three-valued truth; `domain` gives for ``alias.attribute`` a (lo, hi) or a set of words."""
    if condition is None:
        return YES
    ((op, body),) = condition.items()
    if op == "all":
        return min(truth(each, domain, types) for each in body)
    if op == "any":
        return max(truth(each, domain, types) for each in body)
    if op == "not":
        return 1 - truth(body, domain, types)
    left = domain(body[0])
    if op not in NUMERIC:
        wanted = set(body[1]) if isinstance(body[1], list) else {body[1]}
        found = YES if left <= wanted else OPEN if left & wanted else NO
        return 1 - found if op == "ne" else found
    alias, _, name = body[0].partition(".")
    right = _right(body[1], domain, dimension(types[alias], name))
    (a, b), (c, d) = left, right
    if op in ("lt", "le"):
        a, b, c, d = c, d, a, b
    strict = op in ("gt", "lt")
    if a > d or (not strict and a >= d):
        return YES
    if b < c or (strict and b <= c):
        return NO
    return OPEN


def _right(side: Any, domain: Callable[[str], Any], dimension: str) -> tuple[float, float]:
    if isinstance(side, dict):
        table = limits()[side["limit"]]
        words = domain(side["by"]) if "by" in side else {""}
        chosen = [table[word] for word in words]
        return min(each[0] for each in chosen), max(each[1] for each in chosen)
    if _amount(side):
        return span(side, dimension)
    found = domain(side)
    if isinstance(found, frozenset):
        raise CannotRead(side)
    return found


def verdict(given: float, when: float, unless: float, premises: float, supposed: bool = False) -> str:
    """The verdict of one step: does it apply, does it hold, is there an exception."""
    if given == NO:
        return "does not apply"
    holds = min(premises, when, 1 - unless)
    if holds == NO and not supposed:
        return "right"
    return "wrong" if holds == YES and given == YES else "not known"


WORST = ("wrong", "not known", "right", "does not apply")


def worst(found: list[str]) -> str:
    """The verdict of a subject from those of its bindings; no binding is a rule that does not apply."""
    return min(found, key=WORST.index, default="does not apply")
