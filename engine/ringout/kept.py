"""Compiled knowledge kept on disk: read and checked once, loaded ever after, until a file of it changes.

What is kept goes by a digest of every file under `rules/` and by the state of the program's own files, so that
a stale copy cannot be used. Where the folder cannot be written, or a copy cannot be read, everything works as
if nothing were kept. `RINGOUT_CACHE` names another folder, or is `off`. Knowledge of another folder than the
shipped one (`shipped.knowledge_in`) is remembered while it is read, and never kept.
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import io
import os
import pickle
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any, TypeVar, TypeVarTuple, overload

from ringout.shipped import elsewhere, rules_root

Asked = TypeVarTuple("Asked")
Made = TypeVar("Made")
Held = TypeVar("Held")


class Folded(Sequence[Held]):
    """A list of knowledge that most runs never look into: read back whole when somebody first does."""

    def __init__(self, held: tuple[Held, ...] | bytes) -> None:
        self._held = held

    @property
    def _all(self) -> tuple[Held, ...]:
        if isinstance(self._held, bytes):
            self._held = pickle.loads(self._held)
        assert isinstance(self._held, tuple)
        return self._held

    @overload
    def __getitem__(self, at: int) -> Held: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[Held, ...]: ...
    def __getitem__(self, at: int | slice) -> Held | tuple[Held, ...]:
        return self._all[at]

    def __len__(self) -> int:
        return len(self._all)

    def __reduce__(self) -> tuple[object, ...]:
        return Folded, (self._held if isinstance(self._held, bytes) else _packed(self._held),)


def remembered(make: Callable[[*Asked], Made]) -> Callable[[*Asked], Made]:
    """For a function whose answer rests on the knowledge: it runs once for each question and each folder."""
    shipped = functools.cache(make)

    @functools.wraps(make)
    def held(*args: *Asked) -> Made:
        other = elsewhere()
        if other is None:
            return shipped(*args)
        made: Made = other.once(make, *args)
        return made

    return held


def kept(make: Callable[[], Made]) -> Callable[[], Made]:
    """For a function that reads knowledge: it runs once for each state of the files."""

    @remembered
    def held() -> Made:
        folder = _folder() if elsewhere() is None else None
        if folder is None:
            return make()
        path = folder / f"{_state()}-{make.__module__}.{make.__qualname__}"
        with contextlib.suppress(Exception):
            found: Made = pickle.loads(path.read_bytes())
            return found
        made = make()
        with contextlib.suppress(OSError):
            _write(path, _packed(made))
        return made

    functools.update_wrapper(held, make)
    return held


@remembered
def digest() -> str:
    """Twelve hexadecimal digits that change with any file of the knowledge."""
    found = hashlib.sha256()
    root = str(rules_root())
    for path in _files(root, ".yaml"):
        found.update(path[len(root) :].encode())
        with open(path, "rb") as file:
            found.update(file.read())
    return found.hexdigest()[:12]


@functools.cache
def _state() -> str:
    """The digest of the knowledge, and what tells one state of the program from another."""
    stats = [(path, os.stat(path)) for path in _files(str(Path(__file__).parent), ".py")]
    program = repr([(path, stat.st_mtime_ns, stat.st_size) for path, stat in stats])
    return digest() + hashlib.sha256((sys.version + program).encode()).hexdigest()[:12]


class _Packer(pickle.Pickler):
    """Dataclasses are read back by their own constructor: twice as fast as what slots and frozen bring along."""

    def reducer_override(self, held: Any) -> Any:
        if is_dataclass(held) and not isinstance(held, type):
            return type(held), tuple([getattr(held, each.name) for each in fields(held)])
        return NotImplemented


def _packed(made: object) -> bytes:
    data = io.BytesIO()
    _Packer(data, pickle.HIGHEST_PROTOCOL).dump(made)
    return data.getvalue()


def _files(root: str, ending: str) -> list[str]:
    """All files below a folder with an ending, sorted."""
    found = [os.path.join(folder, name) for folder, _, names in os.walk(root) for name in names]
    return sorted(path for path in found if path.endswith(ending))


def _folder() -> Path | None:
    """Where copies are kept: the user's own folder for such things, readable by nobody else."""
    named = os.environ.get("RINGOUT_CACHE", "")
    if named == "off":
        return None
    home = os.environ.get("XDG_CACHE_HOME") or os.path.expanduser("~/.cache")
    folder = Path(named or os.path.join(home, "ringout"))
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        # A copy is a program's data: one that somebody else could write must not be loaded.
        stat = folder.stat()
    except OSError:
        return None
    ours = not hasattr(os, "getuid") or (stat.st_uid == os.getuid() and not stat.st_mode & 0o022)
    return folder if ours else None


def _write(path: Path, data: bytes) -> None:
    """Whole or not at all; copies of earlier states of the same thing are dropped."""
    handle, name = tempfile.mkstemp(dir=path.parent)
    with os.fdopen(handle, "wb") as file:
        file.write(data)
    os.replace(name, path)
    what = path.name.partition("-")[2]
    for other in path.parent.glob(f"*-{what}"):
        if other != path:
            other.unlink(missing_ok=True)
