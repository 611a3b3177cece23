"""How the time of a review grows with the number of parts: `python tests/bench/growth.py [PARTS...]`.

Each size is an invented installation: two batteries, bars, an inverter with a kettle, and circuits of twenty loads,
each load behind its own fuse. Prints the best of a few reviews, what to find out next (which a page asks for, and a
plan does not) apart, and the exponent of the straight line through all of it on a log scale: 1 means twice the parts
take twice the time. Of each size there are two: one whose bank can feed all its loads at once, and one that asks far
too much of it, where every load waits for the currents of the others; the more is open, the more there is to weigh.
Nothing here passes or fails.
"""

import math
import statistics
import sys
import time
from collections.abc import Iterator, Sequence

from ringout.case.load import load_text
from ringout.review.review import review

SIZES = (20, 60, 200, 600, 2000)
RUNS = 5
CIRCUIT = 20
"""Loads behind one circuit's main fuse."""

PARTS = """\
  b1: {kind: battery, chemistry: LFP, capacity: 200 Ah, nominal: 12 V}
  b2: {kind: battery, chemistry: LFP, capacity: 200 Ah, nominal: 12 V}
  main: {kind: fuse, rating: 300 A, family: class_T}
  bars: {kind: busbars}
  inverter: {kind: inverter, rating: 2000 W, efficiency: 85..90 %, idle: 10 W}
  kettle: {kind: appliance, power: 1500..1800 W}"""
RUNS_OF_THE_BANK = """\
  - b1+ = b2+ : 50 mm2, 0.3 m
  - b1- = b2- : 50 mm2, 0.3 m
  - b1+ = main = bars+ : 50 mm2, 0.2 m, 0.4 m
  - b2- = bars- : 50 mm2, 0.5 m
  - bars = inverter : 50 mm2, 1 m"""


TOO_MUCH = ("current: 0.2..0.3 A", "current: 0.5 A", "power: 4 W")
WITHIN = ("current: 0.02..0.03 A", "current: 0.05 A", "power: 0.4 W")


def installation(count: int, takes: Sequence[str] = TOO_MUCH) -> str:
    """The case file of an installation of about so many parts, whose loads take this and that in turn."""
    parts, runs = [], []
    for n in range((count - len(PARTS.splitlines())) * CIRCUIT // (2 * CIRCUIT + 2)):
        rail = f"rail{n // CIRCUIT}"
        if n % CIRCUIT == 0:
            parts += [
                f"  {rail}: {{kind: busbars}}",
                f"  {rail}_fuse: {{kind: fuse, rating: 60 A, family: bolted_small}}",
            ]
            runs.append(f"  - bars = {rail}_fuse = {rail} : 16 mm2, 0.3 m, 2..3 m")
        parts.append(f"  fuse{n}: {{kind: fuse, rating: 10 A, family: blade}}")
        parts.append(f"  load{n}: {{kind: dc_load, {takes[n % len(takes)]}, cutoff: 10.5 V}}")
        runs.append(f"  - {rail} = fuse{n} = load{n} : 2.5 mm2, 0.2 m, 1..4 m")
    start = "case: a reserve's visitor hall\ninvented: yes\nkind: cabin\ndc_volts: 12 V\nparts:"
    return "\n".join([start, PARTS, *parts, "dc:", RUNS_OF_THE_BANK, *runs, "ac:", "  - inverter > kettle", ""])


def times(sizes: Sequence[int], takes: Sequence[str]) -> Iterator[tuple[int, float, float, float]]:
    """For each size: parts, seconds to load, to review, to say what to find out next, each the best of several."""
    assert review(load_text(installation(min(sizes), takes), "warm.yaml"), "plain").needs
    for size in sizes:
        text, loads, reviews, nexts = installation(size, takes), [], [], []
        for _ in range(RUNS):
            begun = time.perf_counter()
            case = load_text(text, "hall.yaml")
            loaded = time.perf_counter()
            made = review(case, "plain")
            reviewed = time.perf_counter()
            assert made.needs
            nexts.append(time.perf_counter() - reviewed)
            reviews.append(reviewed - loaded)
            loads.append(loaded - begun)
            parts = len(case.parts)
            del case, made  # to throw it away is no part of making it
        yield parts, min(loads), min(reviews), min(nexts)


def exponent(rows: Sequence[tuple[int, float]]) -> float:
    """The slope of the straight line through the logarithms."""
    found = statistics.linear_regression([math.log(n) for n, _ in rows], [math.log(t) for _, t in rows])
    return found.slope


def report(sizes: Sequence[int]) -> None:
    print(f"Python {sys.version.split()[0]}, plain engine, best of {RUNS}")
    for says, takes in (("what the bank can feed", WITHIN), ("far more than the bank can feed", TOO_MUCH)):
        print(f"\n{says}\n{'parts':>8}{'load ms':>12}{'review ms':>12}{'next ms':>12}{'us a part':>12}")
        rows = []
        for parts, *taken in times(sizes, takes):
            rows.append((parts, sum(taken)))
            each = "".join(f"{seconds * 1e3:12.1f}" for seconds in taken)
            print(f"{parts:8}{each}{sum(taken) / parts * 1e6:12.0f}", flush=True)
        if len(rows) > 1:
            print(f"grows with the parts to the power of {exponent(rows):.2f}")


if __name__ == "__main__":
    report([int(each) for each in sys.argv[1:]] or SIZES)
