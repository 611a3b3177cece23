"""How long ringout takes: `python tests/bench [CASE]`, a case file or else the sample that README.md reviews.

Cold: each command in a fresh process, beside a fresh process that only imports the libraries it needs.
The two take turns, so that a busy machine slows both, and the best time of each counts. Compare the ratio
between machines, not the milliseconds. Warm: reviews in one process, one after another.
Nothing here passes or fails.
"""

import contextlib
import importlib
import io
import os
import re
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from ringout.cli.main import main

TOP = Path(__file__).resolve().parents[2]
COLD_RUNS = 15
WARM_RUNS = 50
AIM = 1.5
# An installed program has its bytecode on disk, and so have the libraries it is compared with.
COMPILED = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
# What the installed command does.
SCRIPT = "import sys; from ringout.cli.main import main; sys.exit(main())"
# Pydantic loads most of itself only when the first model is made.
FIRST_MODEL = "; pydantic.create_model('M', x=int)"

CHECK = ("argparse", "yaml", "pydantic")
REVIEW = (*CHECK, "networkx", "numpy", "durable_rules_engine")
# The command, and the libraries it cannot do without.
COMMANDS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("--help", ("argparse",)),
    ("check CASE", CHECK),
    ("review CASE", REVIEW),
)


def sample_case() -> Path:
    """The sample that README.md reviews."""
    shown = re.search(r"ringout review (cases/\S+\.yaml)", (TOP / "README.md").read_text(encoding="utf-8"))
    if not shown:
        raise SystemExit("README.md reviews no sample from cases/: name a case file")
    return TOP / shown[1]


def importable(library: str) -> bool:
    """False for durable-rules where it was not built, or was built and does not load (Python 3.13)."""
    try:
        importlib.import_module(library)
    except ImportError:
        return False
    return True


def seconds(action: Callable[[], object]) -> float:
    begun = time.perf_counter()
    action()
    return time.perf_counter() - begun


def fresh_process(*arguments: str) -> None:
    """One run of this Python; ends the measurement if the command itself broke (1 means: findings)."""
    run = subprocess.run([sys.executable, *arguments], capture_output=True, text=True, check=False, env=COMPILED)
    if run.returncode not in (0, 1) or "Traceback" in run.stderr:
        raise SystemExit(f"{' '.join(arguments)} ended with {run.returncode}\n{run.stderr}")


def bare_imports(libraries: list[str]) -> str:
    """The program that only imports."""
    return f"import {', '.join(libraries)}" + (FIRST_MODEL if "pydantic" in libraries else "")


def cold(arguments: list[str], libraries: list[str]) -> tuple[float, float]:
    """Best seconds of the bare imports and of the command, taken in turns."""
    bare, command = [], []
    for _ in range(COLD_RUNS):
        bare.append(seconds(lambda: fresh_process("-c", bare_imports(libraries))))
        command.append(seconds(lambda: fresh_process("-c", SCRIPT, *arguments)))
    return min(bare), min(command)


def warm(case: Path) -> float:
    """Best seconds of a whole review, file to text, in a process that has done one already."""

    def review() -> None:
        with contextlib.redirect_stdout(io.StringIO()):
            main(["review", str(case)])

    review()
    return min(seconds(review) for _ in range(WARM_RUNS))


def report(case: Path) -> None:
    python = sys.version.split()[0]
    print(f"{case.name}, Python {python}, best of {COLD_RUNS} cold and {WARM_RUNS} warm runs\n")
    print(f"{'cold':24}{'imports ms':>12}{'command ms':>12}{'ratio':>8}   aim {AIM}; imports of")
    for command, needed in COMMANDS:
        libraries = [name for name in needed if importable(name)]
        bare, whole = cold([str(case) if word == "CASE" else word for word in command.split()], libraries)
        row = f"{'ringout ' + command:24}{bare * 1e3:12.1f}{whole * 1e3:12.1f}{whole / bare:8.2f}"
        print(f"{row}   {', '.join(libraries)}", flush=True)
    best = warm(case)
    print(f"\nwarm review: {best * 1e3:.1f} ms, {1 / best:.0f} a second")


if __name__ == "__main__":
    report(Path(sys.argv[1]) if len(sys.argv) > 1 else sample_case())
