"""Runs of the command line inside this process, and in one of its own where its end matters."""

import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from ringout.cli.main import main

TOP = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Ran:
    """How a command ended, and what it printed."""

    status: int
    out: str
    err: str


Ringout = Callable[..., Ran]


@pytest.fixture
def ringout(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Ringout:
    """One command, run from the top of the project."""
    monkeypatch.chdir(TOP)

    def run(*words: str) -> Ran:
        try:
            status = main(words)
        except SystemExit as end:
            status = int(end.code or 0)
        said = capsys.readouterr()
        return Ran(status, said.out, said.err)

    return run


@pytest.fixture
def shell() -> Ringout:
    """One command in a process of its own; its reader takes so many characters and leaves."""

    def run(*words: str, reads: int) -> Ran:
        command = [sys.executable, "-m", "ringout", *words]
        # Buffered as for everybody, whatever the environment of the tests says.
        env = {name: value for name, value in os.environ.items() if name != "PYTHONUNBUFFERED"}
        with subprocess.Popen(
            command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=TOP, env=env
        ) as child:
            assert child.stdout and child.stderr
            out = child.stdout.read(reads)
            child.stdout.close()
            err = child.stderr.read()
            return Ran(child.wait(60), out, err)

    return run
