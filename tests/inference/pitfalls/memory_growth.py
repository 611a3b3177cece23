"""Two thousand matches, two hundred matchers: no state stays (the engine holds 1,024), memory is flat."""

import resource
from pathlib import Path

from ringout.inference.durable import DurableMatcher
from ringout.inference.pattern import Pattern, Record, Term

second = Term("b", "fuse", (("state", "fitted"),), (("on", "a", "name"),))
rules = [Pattern("alone", (Term("a", "cable"),)), Pattern("pair", (Term("a", "cable"), second))]


def records(match: int) -> list[Record]:
    """Return 20 records whose texts no earlier match has seen."""
    cables = [Record(f"c{n}", "cable", {"name": f"{match}/{n}"}) for n in range(10)]
    return cables + [Record(f"f{n}", "fuse", {"on": f"{match}/{n}", "state": "fitted"}) for n in range(10)]


def most_memory_so_far() -> int:
    """Return the peak of this process in the system's unit.

    On Linux a child inherits its parent's ru_maxrss, which would hide all growth up to the size of the test
    run, so there the peak of the program itself is read.
    """
    status = Path("/proc/self/status")
    if status.exists():
        return int(status.read_text().partition("VmHWM:")[2].split()[0])
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


matcher = DurableMatcher([rules])
for match in range(200):
    assert len(matcher.match(0, records(match))) == 20
before = most_memory_so_far()
for match in range(2000):
    assert len(matcher.match(0, records(match))) == 20
for match in range(200):
    assert len(DurableMatcher([rules]).match(0, records(match))) == 20
after = most_memory_so_far()
assert after < 1.05 * before, f"grew from {before} to {after}"
