"""Durable, plain, CLIPS and brute force agree on every candidate, its verdict, what it concludes, and what each
rule says of each fact: on packs drawn from seeds, and for the shipped rules on every case.

`voices` is the program that puts the question to all of them, for as many seeds as you like.
"""

import json
import os
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

from ringout.inference import durable
from ringout.shipped import cases_root

PACKS, OFTEN, TIME_LIMIT = 300, 100, 1200
VOICES = Path(__file__).parent / "voices"
OWN = Path(__file__).parents[1] / "facts" / "cases"
CASES = sorted([*OWN.glob("*.yaml"), *cases_root().glob("*.yaml")])
HERE = {
    "plain": True,
    "durable": durable.available() or os.environ.get("RINGOUT_REQUIRE_DURABLE") == "1",
    "clips": find_spec("clips") is not None or os.environ.get("RINGOUT_REQUIRE_CLIPS") == "1",
}


def agreed(*asked: object) -> dict[str, int]:
    """Ask all voices; what they agreed on, counted."""
    package = Path(durable.__file__).parents[2]
    done = subprocess.run(
        [sys.executable, str(VOICES), *map(str, asked)],
        env={**os.environ, "PYTHONPATH": str(package)},
        capture_output=True,
        text=True,
        timeout=TIME_LIMIT,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    counted: dict[str, int] = json.loads(done.stdout[done.stdout.index("{") :])
    return counted


def spoke(counted: dict[str, int], questions: int) -> None:
    for voice, here in HERE.items():
        assert counted.get(f"voice {voice}", 0) == (questions if here else 0), voice


def test_all_voices_agree_on_three_hundred_packs() -> None:
    counted = agreed(0, PACKS)
    spoke(counted, PACKS)
    often = [
        *(f"{n} terms" for n in range(1, 6)), *(f"level {n}" for n in range(1, 7)),
        "literals", "joins", "nothing joined", "one fact in two terms", "several rows of one anchor",
        "exact", "ranges", "open end", "one word", "sets", "limits", "supposed", "not sure",
        "given", "when", "unless", "absent partner", "merged conclusions",
        "wrong", "right", "not known", "does not apply",
    ]  # fmt: skip
    assert {each: counted.get(each, 0) for each in often if counted.get(each, 0) < OFTEN} == {}
    top = {each: counted.get(f"level 6 {each}", 0) for each in ("wrong", "right", "not known", "does not apply")}
    assert min(top.values()) > OFTEN / 5, top
    if HERE["clips"]:
        assert counted["clips settled"] > 2 * counted["clips asked"], "CLIPS asks brute force more than it answers"


def test_all_voices_agree_on_the_shipped_rules_for_every_case() -> None:
    counted = agreed(*CASES)
    spoke(counted, len(CASES))
    assert min(counted[each] for each in ("wrong", "right", "not known", "does not apply")) > 50
