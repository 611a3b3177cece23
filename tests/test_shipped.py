"""The knowledge and the samples are found in a checkout and in an installed package."""

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from ringout import shipped

TOP = Path(__file__).resolve().parents[1]


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "engine" / "ringout"
    folder.mkdir(parents=True)
    monkeypatch.setattr(shipped, "_PACKAGE", folder)
    return folder


def test_here_they_are_the_folders_of_this_checkout() -> None:
    assert shipped.rules_root() == TOP / "rules"
    assert shipped.cases_root() == TOP / "cases"


def test_a_checkout_has_them_beside_engine(package: Path, tmp_path: Path) -> None:
    (tmp_path / "rules").mkdir()
    (tmp_path / "cases").mkdir()
    assert shipped.rules_root() == tmp_path / "rules"
    assert shipped.cases_root() == tmp_path / "cases"


def test_an_installed_package_uses_its_own_before_any_beside_it(package: Path, tmp_path: Path) -> None:
    for folder in (tmp_path, package):
        (folder / "rules").mkdir()
        (folder / "cases").mkdir()
    assert shipped.rules_root() == package / "rules"
    assert shipped.cases_root() == package / "cases"


def test_a_lost_folder_is_an_error_and_not_an_empty_rule_base(package: Path) -> None:
    with pytest.raises(FileNotFoundError, match="cannot find its rules folder"):
        shipped.rules_root()
    with pytest.raises(FileNotFoundError, match="cannot find its cases folder"):
        shipped.cases_root()


def test_another_folder_is_read_while_it_is_asked_for(tmp_path: Path) -> None:
    assert shipped.elsewhere() is None
    with shipped.knowledge_in(tmp_path / "old"):
        assert shipped.rules_root() == tmp_path / "old"
        with shipped.knowledge_in(tmp_path / "older"):
            assert shipped.rules_root() == tmp_path / "older"
        assert shipped.rules_root() == tmp_path / "old"
    assert shipped.rules_root() == TOP / "rules"


def test_the_shipped_folder_is_back_after_an_error(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="faulty"), shipped.knowledge_in(tmp_path):
        raise ValueError("faulty")
    assert shipped.rules_root() == TOP / "rules"


def test_another_thread_reads_the_shipped_folder_all_the_while(tmp_path: Path) -> None:
    with shipped.knowledge_in(tmp_path), ThreadPoolExecutor(1) as pool:
        assert pool.submit(shipped.rules_root).result() == TOP / "rules"
