"""Shows what the bare engine does with inputs that the driver keeps from it.

To be run by hand, for one before a new release of durable-rules is trusted. What goes wrong may differ from
one build to the next, so no test waits for it.
"""

import json
import os
import subprocess
import sys
from typing import Any

import durable_rules_engine as engine

Fact = dict[str, Any]
PAIR = [{"a": {"t": "cable"}}, {"b": {"$and": [{"t": "fuse"}, {"on": {"a": "name"}}]}}]
LARGER = [{"t": "fuse"}, {"on": {"a": "name"}}, {"$gt": {"size": {"a": "size"}}}]


def fire(rules: Fact, facts: list[Fact]) -> list[str]:
    """Assert the facts one by one and return the rules that fire, with the ids that fill them."""
    handle = engine.create_ruleset("bare", json.dumps(rules))
    states = [engine.assert_fact(handle, json.dumps({"sid": "c", **fact})) for fact in facts]
    fired = []
    told = (engine.start_action_for_state(handle, states[0][1]) or (None, None))[1]
    while told:
        fired += [f"{rule} {[fact['id'] for fact in row.values()]}" for rule, row in json.loads(told).items()]
        told = engine.complete_and_start_action(handle, states[0][1])
    engine.delete_state(handle, "c")
    return fired


CASES: dict[str, tuple[str, Fact, list[Fact]]] = {
    "false last comparison": (
        "no firing",
        {"r": {"all": [{"a": {"t": "cable"}}, {"b": {"$and": LARGER}}]}},
        [
            {"id": "f0", "t": "cable", "name": "red", "size": 10},
            {"id": "f1", "t": "fuse", "on": "red", "size": 9},
        ],
    ),
    "no rule fires": ("no firing", {"r": {"all": PAIR}}, [{"id": "f0", "t": "cable", "name": "red"}]),
    "missing key": (
        "no firing and no error",
        {"r": {"all": [PAIR[0], {"b": {"on": {"a": "name"}}}]}},
        [{"id": "f0", "t": "cable"}, {"id": "f1", "t": "fuse", "on": "red"}],
    ),
    "one record in two terms": (
        "one firing",
        {"r": {"all": [{"a": {"t": "cable"}}, {"b": {"t": "cable"}}]}},
        [{"id": "f0", "t": "cable"}],
    ),
    "ids with one hash": (
        "two firings",
        {"r": {"all": [{"a": {"t": "cable"}}]}},
        [{"id": "k32728", "t": "cable"}, {"id": "k261234", "t": "cable"}],
    ),
    "number against text": (
        "no firing",
        {"r": {"all": PAIR}},
        [{"id": "f0", "t": "cable", "name": 1}, {"id": "f1", "t": "fuse", "on": "1"}],
    ),
    "65 conditions met at once": (
        "65 firings",
        {f"r{n}": {"all": [{"a": {f"k{n}": "yes"}}]} for n in range(65)},
        [{"id": "f0", **{f"k{n}": "yes" for n in range(65)}}],
    ),
    "257 rules that ask for the same": (
        "257 firings",
        {f"r{n}": {"all": [{"a": {"t": "cable"}}]} for n in range(257)},
        [{"id": "f0", "t": "cable"}],
    ),
    "513 branches": (
        "one firing",
        {f"r{n}": {"all": [{"a": {"t": f"type {n}"}}]} for n in range(513)},
        [{"id": "f0", "t": "type 7"}],
    ),
}


def main() -> None:
    for name, (right, _, _) in CASES.items():
        try:
            child = subprocess.run(
                [sys.executable, __file__, name],
                # Some C libraries then fill fresh memory, and what was never set is seen to be wrong.
                env={**os.environ, "MALLOC_PERTURB_": "77"},
                capture_output=True,
                text=True,
                timeout=5,
            )
            seen = (child.stdout + child.stderr).strip().splitlines()[-1:] or ["nothing"]
            print(f"{name}: right would be {right}; ended with {child.returncode}: {seen[0][:90]}")
        except subprocess.TimeoutExpired:
            print(f"{name}: right would be {right}; not done after 5 s")


if __name__ == "__main__":
    if len(sys.argv) == 1:
        main()
    else:
        firings = fire(*CASES[sys.argv[1]][1:])
        print(f"{len(firings)} firings", firings)
