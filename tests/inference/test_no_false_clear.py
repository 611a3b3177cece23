"""Nothing is called right that can hurt somebody, and nothing sound is called wrong.

Each entry of `clear/*.yaml` is a small case with one fault that is stated in full, stated in half, only supposed, or
not mentioned, and what a review has to say of it, by rule and part:

wrong      the fault is there and is found
not_known  it may be there, with a fact that would settle it
right      what is sound beside it
not_right  wrong or not known, whichever; never right

`clear/sound.yaml` holds one sound installation and sound ways to build it otherwise.
"""

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from ringout.case.load import load_text
from ringout.inference.chain import Said, Verdict
from ringout.review.review import review

CLEAR = Path(__file__).parent / "clear"
Table = dict[str, dict[str, Any]]


def table(name: str) -> dict[str, Any]:
    """A table with every scalar as the text that was written, as cases are read."""
    made: dict[str, Any] = yaml.load((CLEAR / f"{name}.yaml").read_text(encoding="utf-8"), yaml.BaseLoader)
    return made


FAULTS: Table = {
    f"{name}: {key}": entry
    for name in ("fuses", "mains", "batteries", "charging")
    for key, entry in table(name).items()
}
SOUND = table("sound")


@cache
def verdicts(text: str) -> dict[str, Said]:
    said = review(load_text(text, "told.yaml"), "plain").chained.said
    return {f"{each.rule.name} {each.anchor.id}": each for each in said}


def told(said: dict[str, Said], line: str) -> str:
    return said[line].verdict.value if line in said else "no such verdict"


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_is_found_or_asked_for_and_never_called_right(name: str) -> None:
    its = FAULTS[name]
    said = verdicts(its["case"])
    wanted = {line: word.replace("_", " ") for word in ("wrong", "not_known", "right") for line in its.get(word, ())}
    assert {line: told(said, line) for line in wanted} == wanted
    for line in its.get("not_right", ()):
        assert told(said, line) in ("wrong", "not known"), line


@pytest.mark.parametrize("name", [name for name, its in FAULTS.items() if "not_known" in its])
def test_what_is_half_told_is_asked_for_by_the_fact_that_settles_it(name: str) -> None:
    said = verdicts(FAULTS[name]["case"])
    for line, fact in FAULTS[name]["not_known"].items():
        step = said[line].step
        assert step is not None
        assert fact in [leaf.path for leaf in step.needs], line


def test_every_entry_of_the_tables_expects_something() -> None:
    keys = {"says", "case", "wrong", "not_known", "right", "not_right"}
    for name, its in FAULTS.items():
        assert {"says", "case"} < set(its) <= keys, name
    assert len(FAULTS) >= 60


def otherwise(name: str) -> str:
    """The sound installation, built in another way; each text to change stands in it."""
    text: str = SOUND["base"]
    for old, new in SOUND["otherwise"][name].items():
        assert old in text, old
        text = text.replace(old, new)
    return text


@pytest.mark.parametrize("name", SOUND["otherwise"])
def test_a_sound_installation_raises_nothing(name: str) -> None:
    said = verdicts(otherwise(name))
    assert [line for line, its in said.items() if its.verdict is Verdict.WRONG] == []
    assert {line: told(said, line) for line in SOUND["right"]} == dict.fromkeys(SOUND["right"], "right")


def test_there_are_twenty_sound_ways() -> None:
    assert len({otherwise(name) for name in SOUND["otherwise"]}) >= 20
