"""Puts packs drawn from seeds to all voices: plain, durable, CLIPS and brute force.

    PYTHONPATH=engine python tests/inference/voices FIRST LAST    the seeds from FIRST up to LAST
    PYTHONPATH=engine python tests/inference/voices CASE.yaml...  the shipped rule base on these cases

Each batch runs in a child process with a time limit, so that a crash or a hang of an engine is an answer too.
A child prints each seed before it is tried; where one fails, its last line names the seed. At the end stands
what the voices agreed on, as JSON.
"""

import json
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

BATCH, TIME_LIMIT = 100, 400
CHILD = "--child"


def parent(arguments: list[str]) -> int:
    """Run the batches one after another; stop at the first that fails."""
    if all(each.isdigit() for each in arguments) and len(arguments) == 2:
        first, last = map(int, arguments)
        batches = [[str(low), str(min(low + BATCH, last))] for low in range(first, last, BATCH)]
    else:
        batches = [arguments]
    total: Counter[str] = Counter()
    for batch in batches:
        start = time.perf_counter()
        try:
            child = subprocess.run(
                [sys.executable, "-X", "faulthandler", str(Path(__file__).parent), CHILD, *batch],
                capture_output=True, text=True, timeout=TIME_LIMIT,
            )  # fmt: skip
        except subprocess.TimeoutExpired as stuck:
            print(f"not done in {TIME_LIMIT} s, last: {(stuck.stdout or b'').decode().splitlines()[-1:]}")
            return 1
        *tried, counted = child.stdout.splitlines() or [""]
        if child.returncode:
            print(f"ended with {child.returncode} at {[*tried, counted][-1]}\n{child.stderr}")
            return 1
        print(f"{tried[0]} to {tried[-1]}: {time.perf_counter() - start:.1f} s", flush=True)
        total.update(json.loads(counted))
    print(json.dumps(total, indent=1, sort_keys=True))
    return 0


def child(batch: list[str]) -> None:
    """Try one batch, in this process."""
    from compare import compare
    from packs import LIMITS, pack

    seen: Counter[str] = Counter()
    if batch[0].isdigit():
        for seed in range(int(batch[0]), int(batch[1])):
            print("seed", seed, flush=True)
            drawn = pack(seed)
            seen.update(compare(drawn.rules, drawn.facts, LIMITS))
    else:
        from ringout.case.load import load
        from ringout.facts.gather import gather
        from ringout.rulebase.limits import limits
        from ringout.rulebase.load import rulebase

        for path in batch:
            print(path, flush=True)
            seen.update(compare(rulebase(), gather(load(Path(path))), limits()))
    print(json.dumps(seen))


if __name__ == "__main__":
    if sys.argv[1:2] == [CHILD]:
        child(sys.argv[2:])
    else:
        sys.exit(parent(sys.argv[1:]))
