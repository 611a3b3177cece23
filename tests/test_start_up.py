"""Starting is quick because nothing heavy is imported before it is needed.

What is imported is counted, not timed: a clock says more about the machine than about the program.
"""

import re
import subprocess
import sys
from pathlib import Path

import ringout

TOP = Path(__file__).resolve().parents[1]

SOLVERS = {"durable", "durable_rules_engine", "networkx", "numpy"}
LIBRARIES = SOLVERS | {"jinja2", "pydantic", "yaml"}


def sample_case() -> Path:
    """The sample that README.md reviews."""
    shown = re.search(r"ringout review (cases/\S+\.yaml)", (TOP / "README.md").read_text(encoding="utf-8"))
    assert shown, "README.md reviews no sample from cases/"
    return TOP / shown[1]


def imported_by(*arguments: str) -> set[str]:
    """Top names of all modules imported by one run of `python -m ringout`, which must end well."""
    command = [sys.executable, "-X", "importtime", "-m", "ringout", *arguments]
    run = subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)
    imports = re.compile(r"^import time:.*\| +([\w.]+|imported package)\n", re.MULTILINE)
    assert run.returncode == 0, imports.sub("", run.stderr)
    names = imports.findall(run.stderr)
    return {name.split(".")[0] for name in names}


def test_help_imports_no_library() -> None:
    names = imported_by("--help")
    assert "ringout" in names
    assert names & LIBRARIES == set()


def test_version_imports_no_library() -> None:
    assert imported_by("--version") & LIBRARIES == set()


def test_version_is_that_of_the_package() -> None:
    command = [sys.executable, "-m", "ringout", "--version"]
    run = subprocess.run(command, capture_output=True, text=True, timeout=60, check=True)
    assert ringout.__version__ in run.stdout.split()


def test_check_reads_the_case_and_imports_no_solver() -> None:
    names = imported_by("check", str(sample_case()))
    assert "yaml" in names
    assert names & (SOLVERS | {"jinja2"}) == set()
