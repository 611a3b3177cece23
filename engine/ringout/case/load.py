"""From a case file to a case: every mistake of the file in one go, each with its line."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from ringout.case.case import Case, Part, Sheet, Taken
from ringout.case.form import Form, form, part_kinds, sheet
from ringout.case.frame import LOOKED, CaseFile
from ringout.case.statement import NotAStatement, leaf, take_apart, unstated
from ringout.case.wires import Wires
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Span
from ringout.text.checked import problem, unknown_key, validate
from ringout.text.document import Document, read, read_text
from ringout.text.problem import Loc, Problem, Unusable, did_you_mean


def load(path: Path) -> Case:
    """The case in a file. Raises Unusable with every problem found."""
    return build(read(path))


def load_text(text: str, name: str) -> Case:
    """The case in a text, as if it stood in a file called `name`."""
    return build(read_text(text, name))


def build(document: Document) -> Case:
    """The case a document states. Raises Unusable with every problem found."""
    return _Builder(document).build()


class _Builder:
    """Holds the problems while the parts of the case are put together."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.problems: list[Problem] = []

    def build(self) -> Case:
        frame = validate(self.document, CaseFile)
        case = Case(
            self.document,
            frame,
            self.sheet("habits", sheet("habits"), ("habits",), frame.habits),
            self.sheet("surroundings", sheet("surroundings"), ("surroundings",), frame.surroundings),
            self.sheet("mains", sheet("mains"), ("mains",), frame.mains),
            self.volts("dc_volts", frame.dc_volts),
        )
        for name, raw in frame.parts.items():
            part = self.part(name, raw)
            if part is not None:
                case.parts[name] = part
        for name, raw in frame.places.items():
            case.places[name] = self.sheet(name, sheet("place"), ("places", name), raw)
        self.complaints(case)
        self.looked_for(case)
        self.distances(case)
        self.readings(case)
        self.answers(case)
        self.references(case)
        self.alike(case)
        wires = Wires(self.document, case.parts, set(frame.parts), self.problems)
        wires.dc(frame.dc)
        wires.ac(frame.ac)
        case.hops, case.feeds = wires.hops, wires.feeds
        self.changes(case)
        if self.problems:
            raise Unusable(self.problems)
        return case

    # -- parts and other sheets ------------------------------------------------------------------------------

    def part(self, name: str, raw: dict[str, Any]) -> Part | None:
        loc: Loc = ("parts", name)
        if not name.replace("_", "").isalnum() or not name[:1].isalpha() or not name.isascii():
            spot = self.document.key_spot(loc)
            expected = "a part name of letters, digits and _ (such as b1)"
            self.problems.append(Problem(spot, "parts", expected, f"'{name}'"))
            return None
        kind = raw.get("kind")
        if not isinstance(kind, str):
            self.problems.append(problem(self.document, loc, "a key 'kind'", None))
            return None
        if kind not in part_kinds():
            hint = did_you_mean(kind, part_kinds())
            expected = "a kind of part (the command `ringout check --kinds` lists them)"
            self.problems.append(problem(self.document, (*loc, "kind"), expected, kind, hint))
            return None
        its = form(kind)
        fields = {key: value for key, value in raw.items() if key not in ("kind", "supposed")}
        base = self.sheet(name, its, loc, fields)
        supposed = raw.get("supposed", "no")
        if supposed not in ("yes", "no"):
            self.problems.append(problem(self.document, (*loc, "supposed"), "yes or no", supposed))
        place = base.texts.get("place", "")
        if "count" not in base.leaves:
            # A part written once is one thing, unless its count is stated.
            base.leaves["count"] = Leaf(f"{name}.count", Span(1.0, 1.0), "count", Origin.SEEN, known=True, spot=base.spot)
        return Part(
            name, its, base.spot, base.leaves, base.texts, base.names, supposed=supposed == "yes", place=place
        )

    def sheet(self, name: str, its: Form, loc: Loc, raw: dict[str, Any]) -> Sheet:
        """Read statements under a form; what cannot be read is a problem and stays open."""
        made = Sheet(name, its, self.document.key_spot(loc))
        for key, value in raw.items():
            field = its.fields.get(key)
            if field is None:
                self.problems.append(unknown_key(self.document, (*loc, key), its.fields))
            elif field.free_text:
                self.text(made, (*loc, key), key, value)
            elif field.parts:
                if isinstance(value, str):
                    made.names[key] = tuple(value.replace(",", " ").split())
                else:
                    self.problems.append(problem(self.document, (*loc, key), "names of parts, such as b1 b2", value))
            else:
                try:
                    made.leaves[key] = leaf(self.document, (*loc, key), value, field, f"{name}.{key}")
                except NotAStatement as fault:
                    self.problems.append(fault.problem)
        return made

    def volts(self, key: str, raw: object) -> Leaf:
        """The nominal voltage of the whole installation."""
        field = sheet("installation").fields[key]
        try:
            if raw is not None:
                return leaf(self.document, (key,), raw, field, f"installation.{key}")
        except NotAStatement as fault:
            self.problems.append(fault.problem)
        return unstated(f"installation.{key}", field, spot=self.document.spot(()))

    def text(self, made: Sheet, loc: Loc, key: str, value: object) -> None:
        if isinstance(value, str):
            made.texts[key] = value
        else:
            self.problems.append(problem(self.document, loc, "words", value))

    # -- the rest of the frame -------------------------------------------------------------------------------

    def complaints(self, case: Case) -> None:
        symptoms = sheet("complaint").fields["symptom"].options
        for name, complaint in case.complaints.items():
            if complaint.symptom not in symptoms:
                loc = ("complaints", name, "symptom")
                hint = did_you_mean(complaint.symptom, symptoms)
                self.problems.append(problem(self.document, loc, "a known symptom", complaint.symptom, hint))

    def looked_for(self, case: Case) -> None:
        for kind, raw in case.frame.looked_for.items():
            loc: Loc = ("looked_for", kind)
            if kind not in part_kinds():
                self.problems.append(unknown_key(self.document, loc, part_kinds()))
                continue
            try:
                stated = take_apart(self.document, loc, raw)
            except NotAStatement as fault:
                self.problems.append(fault.problem)
                continue
            if stated.value not in LOOKED:
                hint = did_you_mean(stated.value, LOOKED)
                self.problems.append(problem(self.document, loc, "one of " + ", ".join(LOOKED), stated.value, hint))
                continue
            have = [part.name for part in case.parts.values() if part.kind == kind]
            if stated.value == "none seen" and have:
                expected = f"'all' or 'some', since {have[0]} is such a part"
                self.problems.append(problem(self.document, loc, expected, stated.value))
            # Absence that was only said (by an owner, a paper, a layout) clears nothing until somebody looked.
            seen = stated.origin in (Origin.SEEN, Origin.MEASURED)
            words = {stated.value} if seen else set(LOOKED)
            case.looked_for[kind] = Leaf(
                f"looked_for.{kind}",
                Choice(frozenset(words)),
                origin=stated.origin,
                known=seen,
                text=stated.value,
                spot=self.document.spot(loc),
                at=stated.at,
            )

    def distances(self, case: Case) -> None:
        field = sheet("distance").fields["distance"]
        known = [*case.frame.parts, *case.places, "bed", "gas_bottle", "burner", "fuel"]
        for key, raw in case.frame.distances.items():
            loc: Loc = ("distances", key)
            pair = [each.strip() for each in key.split(" to ")]
            if len(pair) != 2 or pair[0] == pair[1]:
                spot = self.document.key_spot(loc)
                self.problems.append(Problem(spot, "distances", "two names, such as 'mppt to house'", f"'{key}'"))
                continue
            for each in pair:
                if each not in known:
                    spot = self.document.key_spot(loc)
                    hint = did_you_mean(each, known)
                    self.problems.append(Problem(spot, f"distances.{key}", "a part or a place", f"'{each}'", hint))
            try:
                made = leaf(self.document, loc, raw, field, f"distances.{key}")
            except NotAStatement as fault:
                self.problems.append(fault.problem)
                continue
            case.distances[frozenset(pair)] = made

    def readings(self, case: Case) -> None:
        fields = sheet("reading").fields
        for name, reading in case.frame.readings.items():
            loc: Loc = ("readings", name)
            if reading.repeats and reading.repeats not in case.frame.readings:
                hint = did_you_mean(reading.repeats, case.frame.readings)
                where = (*loc, "repeats")
                self.problems.append(problem(self.document, where, "the name of a reading", reading.repeats, hint))
            field = fields.get(reading.what)
            if field is None:
                continue
            where = (*loc, "value")
            try:
                path = f"readings.{name}"
                value = leaf(self.document, where, reading.value, field, path, default=Origin.MEASURED)
            except NotAStatement as fault:
                self.problems.append(fault.problem)
                continue
            case.readings.append(Taken(name, reading, value))

    def answers(self, case: Case) -> None:
        """An answer speaks where the file itself is silent; it never outranks what was seen or read."""
        for number, answer in enumerate(case.frame.answers):
            loc: Loc = ("answers", number)
            found = self.find(case, (*loc, "about"), answer.about)
            if found is None:
                continue
            its, key = found
            try:
                said = leaf(
                    self.document,
                    (*loc, "answer"),
                    answer.answer,
                    its.form.fields[key],
                    f"{its.name}.{key}",
                    default=Origin.SAID,
                )
            except NotAStatement as fault:
                self.problems.append(fault.problem)
                continue
            have = its.leaves.get(key)
            if have is None or not have.known:
                its.leaves[key] = said

    def changes(self, case: Case) -> None:
        """Changes are checked here and applied when a stage after them is asked for; as-found stays as it is."""
        for number, changed in enumerate(case.frame.changed):
            for about, raw in changed.set.items():
                loc: Loc = ("changed", number, "set", about)
                found = self.find(case, loc, about)
                if found is None:
                    continue
                its, key = found
                try:
                    leaf(self.document, loc, raw, its.form.fields[key], f"{its.name}.{key}")
                except NotAStatement as fault:
                    self.problems.append(fault.problem)

    def find(self, case: Case, loc: Loc, about: str) -> tuple[Sheet, str] | None:
        """The sheet and the field that `b1.chemistry` or `habits.nights` names; a problem where there is none."""
        name, _, key = about.partition(".")
        sheets: dict[str, Sheet] = {each.name: each for each in (case.habits, case.surroundings, case.mains)}
        sheets |= case.parts | case.places
        its = sheets.get(name)
        if its is None:
            if name in case.frame.parts:
                return None  # the part itself could not be read: said already
            hint = did_you_mean(name, sheets)
            self.problems.append(problem(self.document, loc, "a part and its field, such as b1.chemistry", about, hint))
            return None
        field = its.form.fields.get(key)
        if field is None or field.free_text or field.parts:
            hint = did_you_mean(key, its.form.fields)
            self.problems.append(problem(self.document, loc, f"a field of {name}", about, hint))
            return None
        return its, key

    def references(self, case: Case) -> None:
        """Names of parts inside parts must exist; places may stay mere words until they are described."""
        for part in case.parts.values():
            for key, names in part.names.items():
                wanted = part.form.fields[key].parts
                for name in names:
                    other = case.parts.get(name)
                    loc: Loc = ("parts", part.name, key)
                    if other is None:
                        if name not in case.frame.parts:
                            hint = did_you_mean(name, case.parts)
                            self.problems.append(problem(self.document, loc, "the name of a part", name, hint))
                    elif wanted != "any" and other.kind != wanted:
                        self.problems.append(problem(self.document, loc, f"a {wanted}", f"{name}, a {other.kind}"))

    def alike(self, case: Case) -> None:
        """Parts declared alike share one leaf for every field that none of them states otherwise."""
        for number, names in enumerate(case.frame.alike):
            loc: Loc = ("alike", number)
            group = [case.parts[name] for name in names if name in case.parts]
            for name in names:
                if name not in case.frame.parts:
                    hint = did_you_mean(name, case.parts)
                    self.problems.append(problem(self.document, loc, "the name of a part", name, hint))
            if len({part.kind for part in group}) > 1:
                self.problems.append(problem(self.document, loc, "parts of one kind", " ".join(names)))
            elif len(group) > 1:
                self.problems += list(self.share(loc, group))

    def share(self, loc: Loc, group: list[Part]) -> Iterator[Problem]:
        for key, field in group[0].form.fields.items():
            if field.free_text or field.parts:
                continue
            stated = [part for part in group if key in part.leaves and part.leaves[key].known]
            if len({part.leaves[key].domain for part in stated}) > 1:
                both = " and ".join(f"{part.name} {part.leaves[key].text}" for part in stated[:2])
                yield problem(self.document, loc, f"the same {key} in parts that are alike", both)
            elif key not in ("count", "place"):
                shared = (stated or group)[0].leaf(key)
                for part in group:
                    part.leaves[key] = shared


