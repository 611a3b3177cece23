"""The published schema: what an editor lets through, what it marks, and that the file is not stale."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from ringout.case.form import form, part_kinds, sheet
from ringout.case.frame import CaseFile
from ringout.case.load import load_text
from ringout.case.schema import DRAFT, case_schema, schema_text
from ringout.shipped import cases_root
from ringout.text.document import Document, read_text
from ringout.text.problem import Loc

SCHEMA = case_schema()
VALIDATOR = Draft202012Validator(SCHEMA)
FILE = cases_root() / "case.schema.json"
CASES = sorted(cases_root().glob("*.yaml"))

GOOD = """\
case: the hide
built: 2011
invented: yes
dc_volts: 12 V
complaints: {flat: {says: flat at dawn, symptom: flat_by_morning}}
habits: {nights_away: 3, inverter_on_at_night: yes (said), night_hours: 12..14 h}
looked_for: {fuse: all, rcd: none seen (said), mcb: {is: some, at: noon}}
parts:
  b1:
    kind: battery
    chemistry: LFP or AGM (label)
    capacity: {is: about 100 Ah, from: label, at: noon, by: owner}
    usable: 0.8
    count: 2 to 4 (said)
    box: sealed
    vent: unknown
    note: 12
  bank: {kind: bank, of: [b1]}
  f1: {kind: fuse, supposed: yes, family: bolted strip, tightness: tight}
  lamp: {kind: dc_load}
alike: [b1 b1x, [f1, f2]]
dc:
  - b1+ = f1
  - b1 = f1 = lamp : 6 mm2, 1 m, 2 m
  - {run: b1- = lamp-, size: 6 mm auto, lug: crimped, supposed: no}
ac:
  - inlet > co.shore
  - {feed: inlet > co.shore, length: 3 m}
places: {seat box: {sort: locker, gas: none}}
distances: {b1 to seat box: 2 m}
readings: {rest: {what: voltage, value: 12.7 V, at: "09:10", points: b1+ b1-}}
answers: [{about: b1.bms, answer: unknown}]
changed: [{at: "10:40", set: {b1.bms: inside}}]
"""


def as_an_editor_sees(document: Document, loc: Loc = ()) -> Any:
    """The data with its plain numbers as numbers, and yes and no as YAML 1.1 takes them."""
    value = document.at(loc)
    if isinstance(value, dict):
        return {name: as_an_editor_sees(document, (*loc, name)) for name in value}
    if isinstance(value, list):
        return [as_an_editor_sees(document, (*loc, number)) for number in range(len(value))]
    if value is None or document.quoted(loc):
        return value
    if re.fullmatch(r"[-+]?[0-9]+", value):
        return int(value)
    if re.fullmatch(r"[-+]?[0-9]*\.[0-9]+", value):
        return float(value)
    return {"yes": True, "no": False}.get(value, value)


def marked(text: str) -> list[str]:
    """Where the schema marks a case that an editor shows; nowhere else does it mark the text as written."""
    document = read_text(text, "c.yaml")
    ways = []
    for data in (document.data, as_an_editor_sees(document)):
        errors = VALIDATOR.iter_errors(data)
        ways.append(sorted(".".join(map(str, error.absolute_path)) for error in errors))
    assert set(ways[0]) <= set(ways[1])
    return ways[1]


def test_the_schema_is_itself_sound() -> None:
    # Against the metaschema of JSON Schema, draft 2020-12 (specification, 2022), as the library carries it.
    Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == DRAFT == Draft202012Validator.META_SCHEMA["$id"]


def test_every_reference_leads_somewhere() -> None:
    names = {name.removeprefix("#/$defs/") for name in re.findall(r'"\$ref": "([^"]+)"', json.dumps(SCHEMA))}
    for name in names:
        its = SCHEMA["$defs"]
        for step in name.split("/"):
            its = its[step]


def test_no_pattern_needs_more_than_editors_know() -> None:
    # ECMA-262 with the unicode flag, as JSON Schema advises, refuses escapes of plain characters.
    patterns = re.findall(r'"pattern": ("(?:[^"\\]|\\.)*")', json.dumps(SCHEMA))
    assert patterns
    for pattern in map(json.loads, patterns):
        assert re.findall(r"\\[^sd.?|()\[\]]", pattern) == []


def test_the_published_file_is_what_the_forms_say() -> None:
    told = "stale: write it anew with `ringout check --schema > cases/case.schema.json`"
    assert FILE.read_text("utf-8") == schema_text(), told


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_a_sample_case_is_marked_nowhere_and_names_its_schema(path: Path) -> None:
    text = path.read_text("utf-8")
    assert marked(text) == []
    assert text.startswith(f"# yaml-language-server: $schema={FILE.name}\n")


def test_a_case_with_every_way_of_writing_is_marked_nowhere() -> None:
    assert marked(GOOD) == []



@pytest.mark.parametrize(
    ("line", "broken", "way"),
    [
        ("case: the hide", "about: the hide", ""),
        ("invented: yes", "invented: perhaps", "invented"),
        ("dc_volts: 12 V", "dc_volts: 12", "dc_volts"),
        ("dc_volts: 12 V", "region: Mars", "region"),
        ("symptom: flat_by_morning", "symptom: flat_by_mornin", "complaints.flat.symptom"),
        ("says: flat at dawn, ", "", "complaints.flat"),
        ("nights_away: 3", "nights_away: a few", "habits.nights_away"),
        ("nights_away: 3", "nights: 3", "habits"),
        ("at_night: yes (said)", "at_night: yes (sad)", "habits.inverter_on_at_night"),
        ("fuse: all", "fuses: all", "looked_for"),
        ("fuse: all", "fuse: most", "looked_for.fuse"),
        ("kind: battery", "kind: batery", "parts.b1.kind"),
        ("  lamp: {kind: dc_load}", "  lamp: {current: 4 A}", "parts.lamp"),
        ("  lamp: {", "  2nd: {", "parts"),
        ("LFP or AGM (label)", "LFP or AMG", "parts.b1.chemistry"),
        ("from: label, at", "form: label, at", "parts.b1.capacity"),
        ("from: label, at", "from: lable, at", "parts.b1.capacity"),
        ("usable: 0.8", "usable: [0.8]", "parts.b1.usable"),
        ("    box: sealed", "    boxx: sealed", "parts.b1"),
        ("    box: sealed", "    rating: 4 A", "parts.b1"),
        ("note: 12", "note: [12]", "parts.b1.note"),
        ("of: [b1]", "of: [[b1]]", "parts.bank.of"),
        ("tightness: tight", "tightness: tigth", "parts.f1.tightness"),
        ("  - b1+ = f1", "  - b1+ > f1", "dc.0"),
        ("6 mm2, 1 m, 2 m", "[6 mm2]", "dc.1"),
        ("lug: crimped", "lugs: crimped", "dc.2"),
        ("  - inlet > co.shore", "  - inlet = co.shore", "ac.0"),
        ("length: 3 m", "lenght: 3 m", "ac.1"),
        ("sort: locker", "sort: loker", "places.seat box.sort"),
        ("b1 to seat box: 2 m", "b1 and seat box: 2 m", "distances"),
        ("what: voltage", "what: volts", "readings.rest.what"),
        (", answer: unknown", "", "answers.0"),
    ],
)
def test_a_slip_is_marked_where_it_stands(line: str, broken: str, way: str) -> None:
    assert GOOD.count(line) >= 1
    assert marked(GOOD.replace(line, broken, 1)) == [way]


def test_the_good_case_is_good_for_the_reader_too() -> None:
    """But for what the schema cannot know: names of parts, and lines that agree with one another."""
    text = GOOD.replace("alike: [b1 b1x, [f1, f2]]\n", "")
    text = text.replace("  - {feed: inlet > co.shore, length: 3 m}\n", "")
    text = text.replace("  lamp:", "  inlet: {kind: inlet}\n  co: {kind: changeover}\n  lamp:")
    assert load_text(text, "c.yaml").parts


def test_a_part_is_described_by_its_kind() -> None:
    capacity = SCHEMA["$defs"]["part_battery"]["properties"]["capacity"]
    assert capacity["description"] == "How many Ah are printed on the battery? A charge, with its unit."
    assert capacity["examples"] == ["100 Ah (label)", "about 100 Ah", "unknown"]
    (part,) = SCHEMA["properties"]["parts"]["patternProperties"].values()
    kinds = {each["const"]: each["description"] for each in part["properties"]["kind"]["anyOf"]}
    assert kinds == {kind: form(kind).words for kind in part_kinds()}


@pytest.mark.parametrize("kind", part_kinds())
def test_every_field_of_a_kind_is_known(kind: str) -> None:
    of_kind = set(SCHEMA["$defs"][f"part_{kind}"]["properties"])
    (pattern,) = SCHEMA["$defs"][f"part_{kind}"]["patternProperties"]
    unknown = [name for name in form(kind).fields if name not in of_kind and not re.search(pattern, name)]
    assert unknown == []


@pytest.mark.parametrize("kind", part_kinds())
def test_every_example_may_be_written(kind: str) -> None:
    for name, its in SCHEMA["$defs"][f"part_{kind}"]["properties"].items():
        for example in its.get("examples", ()):
            assert VALIDATOR.is_valid({"case": "c", "parts": {"p": {"kind": kind, name: example}}}), name
            load_text(f"case: c\nparts:\n  p: {{kind: {kind}, {name}: {json.dumps(example)}}}\n", "c.yaml")


def test_every_block_of_the_frame_is_there() -> None:
    assert set(SCHEMA["properties"]) == set(CaseFile.model_fields)
    assert set(SCHEMA["properties"]["habits"]["properties"]) == set(sheet("habits").fields)
