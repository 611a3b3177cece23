"""Compiled knowledge is kept on disk, and never used once a file of it has changed."""

import pickle
from dataclasses import fields
from pathlib import Path

import pytest

from ringout import kept as module
from ringout.kept import Folded, digest, kept, remembered
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Span
from ringout.shipped import knowledge_in
from ringout.text.problem import Spot

CALLS: list[str] = []


def knowledge() -> dict[str, int]:
    CALLS.append("made")
    return {"limit": len(CALLS)}


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder for copies, and a fresh count of how often the knowledge was made."""
    monkeypatch.setenv("RINGOUT_CACHE", str(tmp_path / "kept"))
    CALLS.clear()
    return tmp_path / "kept"


def test_it_is_made_once_in_a_process(folder: Path) -> None:
    held = kept(knowledge)
    assert held() is held()
    assert CALLS == ["made"]


def test_the_next_process_finds_it_made(folder: Path) -> None:
    assert kept(knowledge)() == {"limit": 1}
    assert kept(knowledge)() == {"limit": 1}
    assert CALLS == ["made"]


def test_a_change_of_the_files_makes_it_anew_and_drops_the_old_copy(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept(knowledge)()
    monkeypatch.setattr(module, "_state", lambda: "another")
    assert kept(knowledge)() == {"limit": 2}
    assert [path.name.partition("-")[0] for path in folder.iterdir()] == ["another"]


@pytest.mark.parametrize("broken", [b"", b"no pickle", pickle.dumps(1)[:-1]])
def test_a_broken_copy_is_made_anew(folder: Path, broken: bytes) -> None:
    kept(knowledge)()
    (copy,) = folder.iterdir()
    copy.write_bytes(broken)
    assert kept(knowledge)() == {"limit": 2}
    assert pickle.loads(copy.read_bytes()) == {"limit": 2}


def test_off_keeps_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RINGOUT_CACHE", "off")
    kept(knowledge)()
    kept(knowledge)()
    assert CALLS == ["made", "made"] and not folder.exists()


def test_a_folder_that_cannot_be_made_is_done_without(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("RINGOUT_CACHE", str(tmp_path / "file" / "kept"))
    CALLS.clear()
    assert kept(knowledge)() == {"limit": 1}


def test_a_folder_that_others_may_write_is_not_trusted(folder: Path) -> None:
    folder.mkdir(mode=0o777)
    folder.chmod(0o777)
    kept(knowledge)()
    assert list(folder.iterdir()) == []


def test_what_cannot_be_made_raises_and_is_not_kept(folder: Path) -> None:
    def faulty() -> None:
        raise ValueError("faulty knowledge")

    with pytest.raises(ValueError, match="faulty knowledge"):
        kept(faulty)()
    assert list(folder.iterdir()) == []


def test_the_digest_changes_with_any_file_and_with_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "rules_root", lambda: tmp_path)
    fresh = digest.__wrapped__
    first = fresh()
    assert len(first) == 12 and int(first, 16) >= 0
    (tmp_path / "a.yaml").write_text("x: 1\n")
    second = fresh()
    (tmp_path / "a.yaml").rename(tmp_path / "b.yaml")
    third = fresh()
    (tmp_path / "b.yaml").write_text("x: 2\n")
    assert len({first, second, third, fresh()}) == 4


def test_knowledge_of_another_folder_is_remembered_while_it_is_read_and_not_kept(
    folder: Path, tmp_path: Path
) -> None:
    held = kept(knowledge)
    with knowledge_in(tmp_path):
        assert held() is held() and held() == {"limit": 1}
    assert not folder.exists()
    with knowledge_in(tmp_path):
        assert held() == {"limit": 2}
    assert held() == {"limit": 3}


def test_what_is_remembered_goes_by_the_question_and_the_folder(tmp_path: Path) -> None:
    asked: list[str] = []

    @remembered
    def answer(word: str) -> str:
        asked.append(word)
        return word.upper()

    for _ in range(2):
        assert (answer("a"), answer("b")) == ("A", "B")
    with knowledge_in(tmp_path):
        assert (answer("a"), answer("a")) == ("A", "A")
    assert asked == ["a", "b", "a"]


def test_a_folded_list_is_read_back_only_when_somebody_looks_into_it() -> None:
    back = pickle.loads(pickle.dumps(Folded((Spot("a.yaml", 1, 2), Spot("b.yaml", 3, 4)))))
    assert isinstance(back._held, bytes)
    again = pickle.loads(pickle.dumps(back))
    assert isinstance(back._held, bytes), "packed as it is"
    for each in (back, again):
        assert len(each) == 2 and each[0] == Spot("a.yaml", 1, 2) and list(each[1:]) == [Spot("b.yaml", 3, 4)]


def kept_things() -> list[object]:
    shared = Span(1.0, 2.0)
    return [shared, shared, Leaf("b1.volts", shared, spot=Spot("a.yaml", 1, 2)), Choice(frozenset({"AGM"})), Span]


def test_what_is_read_back_is_equal_and_shared_as_it_was(folder: Path) -> None:
    made, back = kept(kept_things)(), kept(kept_things)()
    assert made is not back and back[0] is back[1]
    assert back[:2] == made[:2] and back[3:] == made[3:]
    one, other = made[2], back[2]
    assert [getattr(one, each.name) for each in fields(Leaf)] == [getattr(other, each.name) for each in fields(Leaf)]
