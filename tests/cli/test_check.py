"""`ringout check`: is the file usable, and what may it hold."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ringout.case.form import form, part_kinds
from ringout.shipped import cases_root

Ringout = Callable[..., Any]


@pytest.mark.parametrize("name", sorted(path.name for path in cases_root().glob("*.yaml")))
def test_every_sample_is_usable(ringout: Ringout, name: str) -> None:
    ran = ringout("check", f"cases/{name}")
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith(f"cases/{name}: usable; ")


def test_it_counts_what_the_file_holds(ringout: Ringout) -> None:
    ran = ringout("check", "cases/reed-loop.yaml")
    assert ran.out == "cases/reed-loop.yaml: usable; 7 parts, 0 runs, 5 AC feeds, 0 readings\n"


def test_a_change_that_does_not_fit_is_one_clear_line(ringout: Ringout, tmp_path: Path) -> None:
    text = (cases_root() / "reed-loop.yaml").read_text("utf-8")
    case = tmp_path / "case.yaml"
    case.write_text(f'{text}changed:\n  - {{at: "9:00", remove: [mast]}}\n', "utf-8")
    ran = ringout("check", str(case))
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == (
        f"{case}:{text.count(chr(10)) + 2}:5: changed.1: expected a change that fits the case as it then stood, "
        "found there is no part mast\n"
    )


def test_a_change_that_only_tells_of_something_is_usable(ringout: Ringout, tmp_path: Path) -> None:
    text = (cases_root() / "reed-loop.yaml").read_text("utf-8")
    case = tmp_path / "case.yaml"
    case.write_text(f'{text}changed:\n  - {{at: "9:00", what: a fuse replaced by its like}}\n', "utf-8")
    assert ringout("check", str(case)).status == 0


def test_a_part_that_nothing_is_wired_to_is_a_remark(ringout: Ringout) -> None:
    ran = ringout("check", "cases/crake-half.yaml")
    assert ran.status == 0
    remarks = ran.out.splitlines()[1:]
    assert "cases/crake-half.yaml:37:3: remark: nothing says what 'inverter' is wired to" in remarks
    assert "cases/crake-half.yaml:33:3: remark: nothing says what 'house' is wired to on its minus side" in remarks
    assert len(remarks) == 6


def test_the_kinds_of_part_are_listed_with_their_words(ringout: Ringout) -> None:
    ran = ringout("check", "--kinds")
    assert ran.status == 0
    listed = dict(line.split(maxsplit=1) for line in ran.out.splitlines())
    assert listed == {kind: form(kind).words for kind in part_kinds()}


def test_the_fields_of_a_kind_are_listed_with_unit_or_words(ringout: Ringout) -> None:
    ran = ringout("check", "--kind", "battery")
    assert ran.status == 0
    lines = ran.out.splitlines()
    assert lines[0] == f"battery: {form('battery').words}"
    assert {line.split()[0] for line in lines[1:]} == set(form("battery").fields)
    assert "  capacity              charge" in lines
    assert "  post_covers           both, one, none" in lines


def test_an_unknown_kind_is_one_clear_line(ringout: Ringout) -> None:
    ran = ringout("check", "--kind", "batery")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == ("ringout check: expected a kind of part, found 'batery'; did you mean 'battery'?\n")


def test_the_schema_of_case_files_is_printed(ringout: Ringout) -> None:
    ran = ringout("check", "--schema")
    assert ran.status == 0
    assert json.loads(ran.out)["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_readings_that_nothing_was_made_of_are_named(ringout: Ringout) -> None:
    told = ringout("check", str(cases_root() / "heron.yaml")).out
    assert "readings not used: rest (volts count" in told
    assert "readings not used" not in ringout("check", str(cases_root() / "ten-facts.yaml")).out
