"""The command line as a whole: its help, its one-line errors, and readers that leave early."""

import gc
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import ringout as package
from ringout.cli.main import READER_LEFT, parser
from ringout.review.engines import ENGINES

Ringout = Callable[..., Any]

COMMANDS = ("ask", "check", "review", "why")


def test_help_names_every_command_and_defers_to_local_rules(ringout: Ringout) -> None:
    ran = ringout("--help")
    assert ran.status == 0
    assert all(f"\n    {command} " in ran.out for command in COMMANDS)
    assert "local wiring rules and licensed people decide" in ran.out
    assert "!" not in ran.out


def test_the_version_is_printed(ringout: Ringout) -> None:
    assert ringout("--version").out == f"ringout {package.__version__}\n"


@pytest.mark.parametrize(
    ("words", "error"),
    [
        ((), "ringout: the following arguments are required: COMMAND; see ringout --help"),
        (
            ("review",),
            "ringout review: the following arguments are required: CASE; see ringout review --help",
        ),
        (("why",), "ringout why: the following arguments are required: CASE"),
        (("bake", "x"), "ringout: argument COMMAND: invalid choice: 'bake'"),
        (("review", "x", "--engine", "steam"), "ringout review: argument --engine: invalid choice: 'steam'"),
        (("why", "x", "--engine", "steam"), "ringout why: argument --engine: invalid choice: 'steam'"),
        (("review", "x", "--format", "papyrus"), "ringout review: argument --format: invalid choice"),
        (("review", "x", "--least", "9"), "ringout review: argument --least: invalid choice: 9"),
        (("review", "x", "--colour"), "ringout: unrecognized arguments: --colour"),
        (("check",), "ringout check: expected a case file, or --kinds, --kind KIND, --schema"),
    ],
)
def test_a_faulty_command_is_one_clear_line(ringout: Ringout, words: tuple[str, ...], error: str) -> None:
    ran = ringout(*words)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith(error)
    assert ran.err.count("\n") == 1 and ran.err.endswith("\n")


@pytest.mark.parametrize("command", ["check", "review", "why"])
@pytest.mark.parametrize(
    ("name", "error"),
    [
        ("absent.yaml", "absent.yaml:1:1: expected a file, found nothing of that name"),
        ("folder", "folder:1:1: expected a file, found a folder"),
        (
            "binary.yaml",
            "binary.yaml:1:1: expected text in UTF-8, found the byte 0x80; save the file as UTF-8",
        ),
        ("nul.yaml", "nul.yaml:1:8: expected printable characters only, found the character U+0000"),
        ("empty.yaml", "empty.yaml:1:1: expected names and values, found none"),
        ("misspelt.yaml", "misspelt.yaml:2:1: "),
    ],
)
def test_an_unusable_file_is_one_clear_line(
    ringout: Ringout, tmp_path: Path, command: str, name: str, error: str
) -> None:
    (tmp_path / "folder").mkdir()
    (tmp_path / "binary.yaml").write_bytes(b"\x80\x81\x00")
    (tmp_path / "nul.yaml").write_bytes(b"case: a\x00b\n")
    (tmp_path / "empty.yaml").write_bytes(b"")
    (tmp_path / "misspelt.yaml").write_text("case: made for a test\nprats: {}\n", encoding="utf-8")
    ran = ringout(command, str(tmp_path / name))
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith(f"{tmp_path}/{error}")
    assert ran.err.count("\n") == 1 and "Traceback" not in ran.err


def test_a_file_with_several_mistakes_names_them_all(ringout: Ringout, tmp_path: Path) -> None:
    file = tmp_path / "two.yaml"
    file.write_text("case: a\nregion: ZZ\nparts: {b1: {kind: batery}}\n", encoding="utf-8")
    ran = ringout("review", str(file))
    assert ran.status == 2
    assert [line.split(": ")[0] for line in ran.err.splitlines()] == [f"{file}:2:9", f"{file}:3:20"]
    assert "did you mean 'battery'?" in ran.err


@pytest.mark.parametrize(
    "words",
    [
        # A short page waits in a buffer until the end, a long one is written at once.
        ("review", "cases/reed-cured.yaml"),
        ("review", "cases/heron.yaml", "--format", "json"),
        ("why", "cases/heron.yaml"),
        ("check", "--kinds"),
    ],
)
def test_a_reader_that_leaves_early_is_no_error_and_no_all_clear(
    shell: Ringout, words: tuple[str, ...]
) -> None:
    ran = shell(*words, reads=0)
    assert ran.err == ""
    assert ran.status == READER_LEFT


@pytest.mark.parametrize("searching", [True, False])
def test_the_search_for_waste_goes_on_as_before(ringout: Ringout, searching: bool) -> None:
    was = gc.isenabled()
    try:
        (gc.enable if searching else gc.disable)()
        assert ringout("check", "cases/ten-facts.yaml").status == 0
        assert gc.isenabled() is searching
    finally:
        (gc.enable if was else gc.disable)()


def test_engines_offered_are_those_there_are() -> None:
    for command in ("review", "why"):
        for engine in ENGINES:
            assert parser().parse_args([command, "x", "--engine", engine]).engine == engine
