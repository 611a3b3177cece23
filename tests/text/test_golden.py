"""Every broken file here and the exact text it earns, with the parser in C and the one in Python."""

from pathlib import Path

import pytest
import yaml

from ringout.text import document
from ringout.text.problem import Unusable

FOLDER = Path(__file__).parent / "golden"
BROKEN = sorted(FOLDER.glob("*.yaml"))


@pytest.mark.parametrize("loader", [document.LOADER, yaml.SafeLoader], ids=["usual", "python"])
@pytest.mark.parametrize("path", BROKEN, ids=lambda path: path.stem)
def test_broken_file_earns_its_text(path: Path, loader: type, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(FOLDER)
    monkeypatch.setattr(document, "LOADER", loader)
    with pytest.raises(Unusable) as caught:
        document.read(Path(path.name))
    assert str(caught.value) + "\n" == path.with_suffix(".txt").read_text("utf-8")


def test_each_text_has_its_file() -> None:
    assert len(BROKEN) > 50
    assert {path.stem for path in FOLDER.glob("*.txt")} == {path.stem for path in BROKEN}
