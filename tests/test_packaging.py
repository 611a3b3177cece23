"""The libraries declared are those imported, pinned for the check, and those that README.md installs."""

import ast
import re
import sys
import tomllib
from pathlib import Path

TOP = Path(__file__).resolve().parents[1]
PROJECT = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))

# Import names that differ from the name to declare; pydantic brings the one pydantic_core that fits it.
INSTALLED_AS = {
    "durable": "durable-rules",
    "durable_rules_engine": "durable-rules",
    "pydantic_core": "pydantic",
    "yaml": "pyyaml",
}


def library(requirement: str) -> str:
    """The name in a requirement such as `PyYAML>=6.0`, in the one spelling that compares (PEP 503)."""
    name = re.match(r"[\w.-]+", requirement)
    assert name, requirement
    return re.sub(r"[-_.]+", "-", name[0]).lower()


def declared(*extras: str) -> set[str]:
    project = PROJECT["project"]
    extra = [line for name in extras for line in project["optional-dependencies"][name]]
    return {library(line) for line in [*project["dependencies"], *extra]}


def imported() -> set[str]:
    """Libraries that the engine imports, at the top of a module or inside a function."""
    names = set()
    for file in (TOP / "engine").rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                names |= {name.name.split(".")[0] for name in node.names}
            elif isinstance(node, ast.ImportFrom) and not node.level and node.module:
                names.add(node.module.split(".")[0])
    return {INSTALLED_AS.get(name, library(name)) for name in names - sys.stdlib_module_names - {"ringout"}}


def commands_in_readme(words: str) -> list[str]:
    """Lines with those words inside the fenced blocks of README.md."""
    readme = (TOP / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"^```.*?\n(.*?)^```", readme, re.MULTILINE | re.DOTALL)
    return [line for block in blocks for line in block.splitlines() if words in line]


def test_the_libraries_declared_are_those_imported() -> None:
    assert declared("durable") == imported()


def test_every_library_is_pinned_for_the_check() -> None:
    lines = (TOP / ".ci" / "constraints.txt").read_text(encoding="utf-8").splitlines()
    pins = [line for line in lines if not line.startswith("#")]
    assert [line for line in pins if not re.fullmatch(r"[\w-]+==[\w.]+", line)] == []
    needed = declared(*PROJECT["project"]["optional-dependencies"]) | {
        library(line) for line in PROJECT["build-system"]["requires"]
    }
    assert needed - {library(line) for line in pins} == set()


def test_the_wheel_carries_the_knowledge_and_the_samples() -> None:
    carried = PROJECT["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    assert carried == {"rules": "ringout/rules", "cases": "ringout/cases"}
    assert all((TOP / folder).is_dir() for folder in carried)


def test_readme_installs_and_reviews_a_sample_in_one_command() -> None:
    [command] = commands_in_readme(".venv/bin/ringout review")
    # Where durable-rules cannot be built the plain engine must still be installed.
    assert "pip install '.[durable]' || .venv/bin/pip install ." in command
    sample = re.search(r"ringout review (cases/\S+\.yaml)", command)
    assert sample
    assert (TOP / sample[1]).is_file()


def test_readme_installs_the_test_tools_and_runs_the_tests_in_one_command() -> None:
    [command] = commands_in_readme("-m pytest")
    assert command.startswith("python3 -m venv .venv && ")
    assert command.endswith(".venv/bin/python -m pytest")
