"""Sixteen terms, the most the engine holds in one row: along a chain, and one record in every place."""

from ringout.inference.durable import DurableMatcher
from ringout.inference.pattern import MAX_TERMS, Pattern, Record, Term


def chain(fact: str) -> Pattern:
    """Each term starts where the one before ends; `fact` makes the type of each place."""
    places = range(MAX_TERMS)
    follows = [((("from", f"t{place - 1}", "to"),) if place else ()) for place in places]
    return Pattern("chain", tuple(Term(f"t{p}", fact.format(p), (), follows[p]) for p in places))


links = [Record(f"link {n:02}", f"type {n}", {"from": str(n), "to": str(n + 1)}) for n in range(MAX_TERMS)]
ids = tuple(link.id for link in links)
assert DurableMatcher([[chain("type {}")]]).match(0, links) == [("chain", ids)]
assert DurableMatcher([[chain("type {}")]]).match(0, links[:-1]) == []

# Three conditions a term are too many for one type (60), so this one has no joins.
beside = Pattern("beside", tuple(Term(f"t{place}", "loop") for place in range(MAX_TERMS)))
loop = [Record("loop", "loop", {"from": "a", "to": "a"})]
assert DurableMatcher([[beside]]).match(0, loop) == [("beside", ("loop",) * MAX_TERMS)]
