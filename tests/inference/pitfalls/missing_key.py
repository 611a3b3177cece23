"""A join to a key the earlier record lacks: the bare engine raises when the fact is half processed."""

from itertools import permutations

from ringout.inference.durable import DurableMatcher
from ringout.inference.pattern import Pattern, Record, Term

feeds = Term("cable", "cable", (), (("from", "battery", "name"), ("pole", "battery", "pole")))
matcher = DurableMatcher([[Pattern("fed", (Term("battery", "battery"), feeds))]])
records = [
    Record("whole", "battery", {"name": "bank", "pole": "positive"}),
    Record("no pole", "battery", {"name": "bank"}),
    Record("nameless", "battery", {"pole": "positive"}),
    Record("red", "cable", {"from": "bank", "pole": "positive"}),
    Record("unmarked", "cable", {"from": "bank"}),
]
for order in permutations(records):
    assert matcher.match(0, order) == [("fed", ("whole", "red"))]
