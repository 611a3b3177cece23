"""Where the knowledge (rules/) and the sample installations (cases/) lie.

An installed ringout carries both inside its own package; in a checkout they stand at the top, beside engine/.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path
from typing import Any

_PACKAGE = Path(__file__).resolve().parent


class Elsewhere:
    """Knowledge of another folder than the shipped one, with all that was made from it so far."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self._made: dict[tuple[Hashable, ...], Any] = {}

    def once(self, make: Callable[..., Any], *args: Hashable) -> Any:
        """What `make` gives for these arguments, made once."""
        key = (make, *args)
        if key not in self._made:
            self._made[key] = make(*args)
        return self._made[key]


_ELSEWHERE: ContextVar[Elsewhere | None] = ContextVar("elsewhere", default=None)


@contextmanager
def knowledge_in(root: Path) -> Iterator[None]:
    """Within it all knowledge is read from another folder; at its end what was made from that is forgotten."""
    token = _ELSEWHERE.set(Elsewhere(root))
    try:
        yield
    finally:
        _ELSEWHERE.reset(token)


def elsewhere() -> Elsewhere | None:
    """The other folder of knowledge that is read just now; None for the shipped one."""
    return _ELSEWHERE.get()


def rules_root() -> Path:
    """Folder that holds the knowledge; FileNotFoundError where the installation lost it."""
    other = _ELSEWHERE.get()
    return other.root if other is not None else _root("rules")


def cases_root() -> Path:
    """Folder that holds the sample installations; FileNotFoundError where the installation lost it."""
    return _root("cases")


def _root(name: str) -> Path:
    installed, checkout = _PACKAGE / name, _PACKAGE.parents[1] / name
    for folder in (installed, checkout):
        if folder.is_dir():
            return folder
    # A review without its rules would find nothing wrong, so a lost folder must not pass for an empty one.
    raise FileNotFoundError(f"ringout cannot find its {name} folder, neither {installed} nor {checkout}")
