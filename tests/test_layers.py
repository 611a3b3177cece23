"""The order of the layers, the shape of the tree, and that every module has its tests.

Knowledge flows one way: a module may import from layers before its own, never from a later one or a sibling.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parents[1]
PACKAGE = TOP / "engine" / "ringout"

# Layers on one row do not know each other.
ROWS = (
    ("text",),
    ("quantity",),
    ("case",),
    ("system",),
    ("physics",),
    ("facts",),
    ("rulebase",),
    ("inference",),
    ("review",),
    ("plan", "interview", "drawing", "report", "store"),
    ("lint",),
    ("cli", "web", "tally"),
    ("__main__",),
)
ROW_OF = {layer: row for row, layers in enumerate(ROWS) for layer in layers}
# Where the shipped folders lie, what is kept of them, what a record is, when waste is searched, and the version:
# anyone may ask.
OPEN_TO_ALL = {"__init__", "kept", "record", "shipped", "waste"}

DURABLE = {"durable", "durable_rules_engine"}
DURABLE_DRIVER = "inference/durable.py"

TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "rules", "engine", "tests", "cases"}
LONGEST = 350

# Modules whose tests are not in the file of the same place and name.
TESTED_IN = {"__main__.py": "test_start_up.py"}


def modules(package: Path) -> Iterator[tuple[str, ast.Module]]:
    """Each module of the package: its path below the package, and its syntax tree."""
    for file in sorted(package.rglob("*.py")):
        yield file.relative_to(package).as_posix(), ast.parse(file.read_text(encoding="utf-8"))


def imported(path: str, tree: ast.Module) -> Iterator[str]:
    """Full dotted names that a module imports, also inside functions; relative imports are resolved."""
    folder = ["ringout", *Path(path).parts[:-1]]
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            start = folder[: len(folder) - node.level + 1] if node.level else []
            source = ".".join([*start, *([node.module] if node.module else [])])
            yield from (f"{source}.{name.name}" for name in node.names)


def layer_of(path: str) -> str:
    """The first part of a path below the package: `case/loader.py` and `case.py` are both of `case`."""
    return Path(path).parts[0].removesuffix(".py")


def against_the_order(package: Path) -> list[str]:
    """One line for each import that goes up or sideways, and for each module outside every layer."""
    layers = {layer_of(path) for path, _ in modules(package)}
    wrong = [f"{layer}: not in a layer" for layer in sorted(layers - ROW_OF.keys() - OPEN_TO_ALL)]
    for path, tree in modules(package):
        layer = layer_of(path)
        # What all may import stands before the first row, so it imports no layer itself.
        own_row = -1 if layer in OPEN_TO_ALL else ROW_OF.get(layer, len(ROWS))
        for name in imported(path, tree):
            parts = name.split(".")
            # `from ringout import __version__` names no layer.
            if parts[0] != "ringout" or len(parts) == 1 or parts[1] not in layers - OPEN_TO_ALL:
                continue
            if parts[1] != layer and ROW_OF.get(parts[1], len(ROWS)) >= own_row:
                wrong.append(f"{path} imports {name}")
    return wrong


def users_of_durable(package: Path) -> list[str]:
    """Modules that import durable-rules."""
    tops = {path: {name.split(".")[0] for name in imported(path, tree)} for path, tree in modules(package)}
    return [path for path, names in tops.items() if names & DURABLE]


def is_tested(path: str, tests: Path) -> bool:
    """Whether the tests mirror a module: `test_<module>.py` or `test_<module>_*.py` in the same place."""
    if path in TESTED_IN:
        return (tests / TESTED_IN[path]).is_file()
    module = tests / path
    return any(any(module.parent.glob(f"test_{module.stem}{rest}.py")) for rest in ("", "_*"))


def without_tests(package: Path, tests: Path) -> list[str]:
    """Modules whose tests are missing; an `__init__.py` only gathers names and needs none."""
    paths = [path for path, _ in modules(package) if Path(path).name != "__init__.py"]
    return [path for path in paths if not is_tested(path, tests)]


def test_each_layer_imports_only_from_those_before_it() -> None:
    assert against_the_order(PACKAGE) == []


def test_one_module_alone_imports_durable_rules() -> None:
    assert users_of_durable(PACKAGE) == [DURABLE_DRIVER]


def test_no_module_is_too_long_for_one_idea() -> None:
    lengths = {path: len((PACKAGE / path).read_text("utf-8").splitlines()) for path, _ in modules(PACKAGE)}
    assert {path: lines for path, lines in lengths.items() if lines > LONGEST} == {}


def test_every_module_has_its_tests() -> None:
    assert without_tests(PACKAGE, TOP / "tests") == []


def test_the_list_of_exceptions_names_only_modules_that_exist() -> None:
    assert [path for path in TESTED_IN if not (PACKAGE / path).is_file()] == []


def test_nothing_else_stands_at_the_top() -> None:
    names = {entry.name for entry in TOP.iterdir() if not entry.name.startswith(".")}
    assert sorted(names - TOP_LEVEL) == []


# The checks themselves, on small trees made for the purpose.


def tree_with(folder: Path, files: dict[str, str]) -> Path:
    for name, text in files.items():
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    return folder


@pytest.mark.parametrize(
    ("path", "line"),
    [
        ("case/loader.py", "import ringout.review.rank"),
        ("case/loader.py", "from ringout.review import rank"),
        ("case/loader.py", "from ringout import review"),
        ("case/loader.py", "from ..review import rank"),
        ("case/loader.py", "from .. import review"),
        ("case/loader.py", "def late():\n    from ringout.review import rank"),
        ("plan/steps.py", "from ringout.report import page"),
        ("web/pages.py", "from ringout.cli import main"),
        ("case/__init__.py", "from ringout.review import rank"),
        ("__init__.py", "from ringout.text import problem"),
        ("shipped.py", "from ringout.text import problem"),
    ],
)
def test_an_import_up_or_sideways_is_seen(tmp_path: Path, path: str, line: str) -> None:
    empty = dict.fromkeys(("text/problem.py", "review/rank.py", "report/page.py", "cli/main.py"), "")
    found = against_the_order(tree_with(tmp_path, {**empty, path: line}))
    assert len(found) == 1
    assert found[0].startswith(f"{path} imports ringout.")


def test_an_import_down_or_within_a_layer_is_in_order(tmp_path: Path) -> None:
    loader = """
import json, numpy
from ringout import __version__, shipped
from ringout.shipped import rules_root
from ringout.text.problem import Problem
from ..text import problem
from . import shape
from .shape import Battery
import ringout.case.shape
"""
    files = dict.fromkeys(("__init__.py", "shipped.py", "text/problem.py", "case/shape.py"), "")
    files |= {"case/loader.py": loader, "review/rank.py": "from ringout.case import loader"}
    assert against_the_order(tree_with(tmp_path, files)) == []


def test_a_module_outside_every_layer_is_seen(tmp_path: Path) -> None:
    files = {"helpers/misc.py": "", "case/loader.py": "import ringout.helpers"}
    found = against_the_order(tree_with(tmp_path, files))
    assert found == ["helpers: not in a layer", "case/loader.py imports ringout.helpers"]


@pytest.mark.parametrize("line", ["import durable_rules_engine", "from durable.lang import ruleset"])
def test_a_second_user_of_durable_rules_is_seen(tmp_path: Path, line: str) -> None:
    package = tree_with(tmp_path, {DURABLE_DRIVER: "import durable_rules_engine", "review/rank.py": line})
    assert users_of_durable(package) == [DURABLE_DRIVER, "review/rank.py"]


def test_a_module_without_tests_is_seen(tmp_path: Path) -> None:
    code = ("__init__.py", "shipped.py", "case/a.py", "case/b.py", "case/c.py")
    package = tree_with(tmp_path / "engine", dict.fromkeys(code, ""))
    # In the wrong folder, or of another module whose name begins alike: neither counts.
    mirror = ("case/test_a_limits.py", "test_b.py", "case/test_bb.py", "case/test_c.py")
    tests = tree_with(tmp_path / "tests", dict.fromkeys(mirror, ""))
    assert without_tests(package, tests) == ["case/b.py", "shipped.py"]
