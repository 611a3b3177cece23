"""States and rulesets given up out of turn, which sets the bare engine walking freed memory."""

import gc

from ringout.inference.durable import DurableMatcher
from ringout.inference.pattern import Pattern, Record, Term

records = [Record(f"r{number}", f"type {number % 7}", {}) for number in range(14)]


def matcher(number: int) -> DurableMatcher:
    return DurableMatcher([[Pattern("rule", (Term("a", f"type {number % 7}"),))]])


alive = {number: matcher(number) for number in range(50)}
for step in range(400):
    number = step * 17 % 50
    found = sorted(f"r{record}" for record in (number % 7, number % 7 + 7))
    assert alive[number].match(0, records) == [("rule", (record,)) for record in found]
    if step % 3 == 0:
        alive[number] = matcher(number)
        gc.collect()
