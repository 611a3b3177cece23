"""A case in which no rule fires: the bare engine frees what was never set when its state is deleted."""

from ringout.inference.durable import DurableMatcher
from ringout.inference.pattern import Pattern, Record, Term

fed = Term("cable", "cable", (), (("from", "battery", "name"),))
rules = [
    Pattern("fed", (Term("battery", "battery"), fed)),
    Pattern("blown", (Term("fuse", "fuse", (("state", "blown"),)),)),
]
matcher = DurableMatcher([rules])
nothing_meets = [
    Record("bank", "battery", {"name": "bank"}),
    Record("red", "cable", {"from": "elsewhere"}),
    Record("main", "fuse", {"state": "fitted"}),
    Record("lamp", "a type no rule reads", {"state": "blown"}),
]
for records in ([], nothing_meets, nothing_meets[3:]) * 200:
    assert matcher.match(0, records) == []
