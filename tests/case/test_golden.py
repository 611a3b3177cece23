"""Every broken case file here and the exact text it earns: all its mistakes, each with its place."""

from pathlib import Path

import pytest

from ringout.case.load import load
from ringout.text.problem import Unusable

FOLDER = Path(__file__).parent / "golden"
BROKEN = sorted(FOLDER.glob("*.yaml"))


@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.stem)
def test_a_broken_case_earns_its_text(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(FOLDER)
    with pytest.raises(Unusable) as caught:
        load(Path(path.name))
    assert str(caught.value) + "\n" == path.with_suffix(".txt").read_text("utf-8")


def test_each_text_has_its_file() -> None:
    assert len(BROKEN) >= 9
    assert {path.stem for path in FOLDER.glob("*.txt")} == {path.stem for path in BROKEN}
