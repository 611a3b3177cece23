"""Where the knowledge (rules/) and the sample installations (cases/) lie.

An installed ringout carries both inside its own package; in a checkout they stand at the top, beside engine/.
"""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def rules_root() -> Path:
    """Folder that holds the knowledge; FileNotFoundError where the installation lost it."""
    return _root("rules")


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
