"""Published values for the tests of this folder.

`@pytest.mark.published("CON-RHO", "AMP-CFR5-*")` gives a test every value of `values.yaml` whose id fits,
as `value`.
"""

from fnmatch import fnmatch
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import yaml

HERE = Path(__file__).parent
SHARED = ("topic", "quantity", "unit", "tolerance", "status", "verified", "source", "expected")


@cache
def _values() -> tuple[SimpleNamespace, ...]:
    """All values, each with what its group shares; a line may hold a tolerance of its own."""
    groups: list[dict[str, Any]] = yaml.safe_load((HERE / "values.yaml").read_text("utf-8"))
    found = []
    for group in groups:
        shared = {name: group[name] for name in SHARED if name in group}
        for name, line in group["values"].items():
            own = {key: line[key] for key in line if key in SHARED}
            inputs = {key: line[key] for key in line if key not in SHARED}
            found.append(SimpleNamespace(id=name, inputs=inputs, **(shared | own)))
    return tuple(found)


@pytest.fixture(scope="session")
def values() -> tuple[SimpleNamespace, ...]:
    """Every value of the file."""
    return _values()


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", "published(*patterns): run for each published value whose id fits")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    mark = metafunc.definition.get_closest_marker("published")
    if mark is None:
        return
    unmatched = [p for p in mark.args if not any(fnmatch(value.id, p) for value in _values())]
    if unmatched:
        raise ValueError(f"values.yaml has no value {', '.join(unmatched)}")
    chosen = [value for value in _values() if any(fnmatch(value.id, pattern) for pattern in mark.args)]
    metafunc.parametrize("value", chosen, ids=[value.id for value in chosen])
