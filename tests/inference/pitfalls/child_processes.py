"""A matcher made before a fork answers in parent and child; a spawned process makes its own."""

import multiprocessing

from ringout.inference.durable import DurableMatcher
from ringout.inference.pattern import Candidate, Pattern, Record, Term

LEVELS = [[Pattern("fused", (Term("fuse", "fuse"),))]]
RECORDS = [Record("main", "fuse", {}), Record("spare", "fuse", {})]
EXPECTED = [("fused", ("main",)), ("fused", ("spare",))]
MATCHER = DurableMatcher(LEVELS)


def answer(_: int) -> list[Candidate]:
    return MATCHER.match(0, RECORDS)


if __name__ == "__main__":
    assert MATCHER.match(0, RECORDS) == EXPECTED
    for way in {"fork", "spawn"} & set(multiprocessing.get_all_start_methods()):
        with multiprocessing.get_context(way).Pool(1) as pool:
            assert pool.map(answer, range(3)) == [EXPECTED] * 3
        assert MATCHER.match(0, RECORDS) == EXPECTED
