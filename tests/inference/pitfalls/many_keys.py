"""A record with more keys than the engine holds in a fact (255): it gets only those that rules ask for."""

from ringout.inference.durable import DurableMatcher
from ringout.inference.pattern import Pattern, Record, Term

keys = {f"key {number}": "yes" for number in range(2000)}
rule = Pattern("rule", (Term("a", "fuse", (("key 1999", "yes"),)),))
records = [Record("before", "fuse", {}), Record("many", "fuse", keys), Record("after", "fuse", keys)]
assert DurableMatcher([[rule]]).match(0, records) == [("rule", ("after",)), ("rule", ("many",))]
