"""README.md shows what the program prints, word for word."""

import re
from pathlib import Path

import pytest

from ringout.cli.main import main, parser
from ringout.inference.durable import available

TOP = Path(__file__).resolve().parents[1]
README = (TOP / "README.md").read_text(encoding="utf-8")
SHOWN = re.findall(r"^<!-- printed: ringout (.+) -->\n```text\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def test_something_is_shown() -> None:
    assert SHOWN
    assert README.count("<!-- printed: ") == len(SHOWN), "a block is not fenced as expected"


@pytest.mark.parametrize(("command", "shown"), SHOWN, ids=[command for command, _ in SHOWN])
def test_readme_shows_what_the_command_prints(
    command: str, shown: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(TOP)
    status = main(command.split())
    printed = capsys.readouterr().out
    # Where durable-rules cannot be had, the first line names the other engine and all else is the same.
    if not available():
        shown = shown.replace(": durable engine, ", ": plain engine, ", 1)
    if shown != printed:
        pytest.fail(f"the block after 'printed: ringout {command}' should be:\n{printed}", pytrace=False)
    assert f"ends with status {status} " in README


def test_the_sample_that_is_installed_and_reviewed_is_the_one_shown() -> None:
    [reviewed] = re.findall(r"\.venv/bin/ringout (review \S+)$", README, re.MULTILINE)
    assert reviewed == SHOWN[0][0]


@pytest.mark.parametrize("file", re.findall(r"`(cases/[\w.-]+)`|\]\((\w+\.md)\)", README))
def test_every_file_that_it_names_is_there(file: tuple[str, str]) -> None:
    assert (TOP / (file[0] or file[1])).is_file()


def test_every_command_in_its_table_exists() -> None:
    named = set(re.findall(r"^\| `ringout (\w+)", README, re.MULTILINE))
    assert named
    for command in sorted(named):
        assert parser().parse_args([command, "cases/reed-loop.yaml"]).command == command
