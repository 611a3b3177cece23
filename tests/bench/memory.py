"""Whether memory stays flat: `python tests/bench/memory.py [REVIEWS] [ENGINE] [CASE]`, 10000 reviews with each engine.

One process reads and reviews the small sample again and again, file to page of text; after a warm-up the resident
memory is printed at every tenth of the way, and at the end by how much each later review made it grow.
Nothing here passes or fails; tests/review/test_review.py counts objects over a few hundred reviews.
"""

import gc
import os
import resource
import sys
from collections.abc import Iterator
from pathlib import Path

from ringout.case.load import load
from ringout.report.text import text
from ringout.review.engines import ENGINES, NoSuchEngine, matcher
from ringout.review.review import review

SMALL = Path(__file__).resolve().parents[2] / "cases" / "ten-facts.yaml"
REVIEWS = 10_000
WARM_UP = 200
SAMPLES = 10


def resident_kib() -> int:
    """Resident memory now; where the system does not say, the most it ever was."""
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    except OSError:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return pages * os.sysconf("SC_PAGE_SIZE") // 1024


def samples(case: Path, engine: str, count: int) -> Iterator[tuple[int, int]]:
    """Reviews done and resident memory in KiB, at the end of the warm-up and of every tenth part."""

    def some(reviews: int) -> int:
        for _ in range(reviews):
            text(review(load(case), engine))
        gc.collect()
        return resident_kib()

    yield 0, some(WARM_UP)
    for part in range(1, SAMPLES + 1):
        yield count * part // SAMPLES, some(count // SAMPLES)


def report(count: int, engines: tuple[str, ...], case: Path) -> None:
    print(f"Python {sys.version.split()[0]}, {case.name}, {count} reviews after {WARM_UP} to warm up")
    for engine in engines:
        try:
            matcher(engine)
        except NoSuchEngine as fault:
            print(f"\n{engine} IS NOT MEASURED: {fault}")
            continue
        print(f"\n{engine + ' engine':16}{'reviews':>10}{'resident MiB':>14}")
        found = []
        for done, kib in samples(case, engine, count):
            found.append((done, kib))
            print(f"{'':16}{done:10}{kib / 1024:14.1f}", flush=True)
        later = found[len(found) // 2 :]
        grown = (later[-1][1] - later[0][1]) * 1024 / (later[-1][0] - later[0][0])
        print(f"in the second half a review leaves {grown:.0f} bytes behind")


if __name__ == "__main__":
    given = sys.argv[1:]
    report(
        int(given[0]) if given else REVIEWS,
        (given[1],) if len(given) > 1 else ENGINES,
        Path(given[2]) if len(given) > 2 else SMALL,
    )
