"""From a case file to a case: every mistake of the file in one go, each with its line."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from ringout.case.case import Case, Sheet
from ringout.case.form import Field, part_kinds, sheet
from ringout.case.frame import LOOKED, CaseFile
from ringout.case.moment import check_moments
from ringout.case.readings import readings
from ringout.case.references import check_references, share_alike
from ringout.case.sheets import NOT_FOR_PARTS, read_part, read_sheet
from ringout.case.statement import NotAStatement, leaf, take_apart, unstated
from ringout.case.wires import Wires
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice, Span
from ringout.text.checked import problem, unknown_key, validate
from ringout.text.document import Document, NamedTwice, read, read_text
from ringout.text.problem import Loc, Problem, Spot, Unusable, did_you_mean, dotted, shown
from ringout.waste import unsearched

NO_PARTS = ("bed", "gas_bottle", "burner", "fuel")
"""What a distance may lead to although it is neither a part nor a place."""


def load(path: Path) -> Case:
    """The case in a file. Raises Unusable with every problem found."""
    return _built(lambda: read(path))


def load_text(text: str, name: str) -> Case:
    """The case in a text, as if it stood in a file called `name`. Raises Unusable as `load` does."""
    return _built(lambda: read_text(text, name))


def _built(reading: Callable[[], Document]) -> Case:
    """The case of a document; names given twice do not hide the other mistakes."""
    try:
        with unsearched():
            return build(reading())
    except NamedTwice as fault:
        problems = [*fault.problems]
        try:
            build(fault.document)
        except Unusable as more:
            problems += more.problems
        raise Unusable(problems) from None


def build(document: Document) -> Case:
    """The case a document states. Raises Unusable with every problem found."""
    return _Builder(document).build()


class _Builder:
    """Holds the problems while the parts of the case are put together."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.problems: list[Problem] = []

    def build(self) -> Case:
        frame = self.frame()
        case = Case(
            self.document,
            frame,
            self.sheet("habits", frame.habits),
            self.sheet("surroundings", frame.surroundings),
            self.sheet("mains", frame.mains),
            self.volts("dc_volts", frame.dc_volts),
            self.volts("ac_volts", frame.ac_volts),
        )
        for name, raw in frame.parts.items():
            part = read_part(self.document, name, raw, self.problems)
            if part is not None:
                case.parts[name] = part
        self.places(case)
        self.complaints(case)
        self.looked_for(case)
        self.distances(case)
        self.answers(case)
        check_references(case, self.problems)
        share_alike(case, self.problems)
        wires = Wires(self.document, case.parts, frame.parts, self.problems, frame.places)
        wires.dc(frame.dc)
        wires.ac(frame.ac)
        case.hops, case.feeds = wires.hops, wires.feeds
        case.readings = readings(self.document, case, self.problems)
        self.changes(case)
        check_moments(self.document, frame, self.problems)
        if self.problems:
            raise Unusable(self.problems)
        return case

    def frame(self) -> CaseFile:
        """The frame, without the blocks that have mistakes, so that those of the others are found as well."""
        try:
            return validate(self.document, CaseFile)
        except Unusable as fault:
            data, paths = self.document.data, [each.path for each in fault.problems]
            if not isinstance(data, dict):
                raise
            faulty = {
                name for name in data for path in paths if f"{path}.".startswith(f"{dotted((name,))}.")
            }
            # Without all parts and places, names of them elsewhere would look wrong.
            if faulty & {"parts", "places"}:
                raise
            self.problems += fault.problems
            good = {name: value for name, value in data.items() if name not in faulty}
            return CaseFile.model_validate({"case": "", **good})

    def sheet(self, name: str, raw: dict[str, object]) -> Sheet:
        return read_sheet(self.document, name, sheet(name), (name,), raw, self.problems)

    def leaf(
        self, loc: Loc, raw: object, field: Field, path: str, default: Origin = Origin.SEEN
    ) -> Leaf | None:
        """The leaf of a statement; None, with its problem noted, where it cannot be read."""
        try:
            return leaf(self.document, loc, raw, field, path, default)
        except NotAStatement as fault:
            self.problems.append(fault.problem)
            return None

    def wrong(self, loc: Loc, expected: str, found: object, hint: str = "", offset: int = 0) -> None:
        self.problems.append(problem(self.document, loc, expected, found, hint, offset))

    def wrong_name(self, loc: Loc, expected: str, hint: str = "") -> None:
        """A problem with a name before a colon."""
        found = shown(loc[-1])
        self.problems.append(Problem(self.document.key_spot(loc), dotted(loc), expected, found, hint))

    def volts(self, key: str, raw: object) -> Leaf:
        """A nominal voltage of the whole installation."""
        field, path = sheet("installation").fields[key], f"installation.{key}"
        made = self.leaf((key,), raw, field, path) if raw is not None else None
        return made or unstated(path, field, spot=self.document.spot(()))

    # -- the rest of the frame -----------------------------------------------------------------------------

    def places(self, case: Case) -> None:
        for name, raw in case.frame.places.items():
            loc: Loc = ("places", name)
            if name in NOT_FOR_PARTS or name in case.frame.parts or "." in name:
                self.wrong_name(loc, "a name without a full stop that nothing else has")
            case.places[name] = read_sheet(self.document, name, sheet("place"), loc, raw, self.problems)

    def complaints(self, case: Case) -> None:
        symptoms = sheet("complaint").fields["symptom"].options
        for name, complaint in case.complaints.items():
            if complaint.symptom not in symptoms:
                hint = did_you_mean(complaint.symptom, symptoms) or "'other' fits where none does"
                expected = f"a known symptom such as {', '.join(symptoms[:3])}"
                self.wrong(("complaints", name, "symptom"), expected, complaint.symptom, hint)

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
                self.wrong(loc, "one of " + ", ".join(LOOKED), stated.value, hint)
                continue
            have = [part.name for part in case.parts.values() if part.kind == kind]
            if stated.value == "none seen" and have:
                self.wrong(loc, f"'all' or 'some', since {have[0]} is such a part", stated.value)
            # Absence that was only said (by an owner, a paper) clears nothing until somebody looked.
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
        known = [*case.frame.parts, *case.places, *NO_PARTS]
        for key, raw in case.frame.distances.items():
            loc: Loc = ("distances", key)
            pair = [each.strip() for each in key.split(" to ")]
            if len(pair) != 2 or pair[0] == pair[1]:
                self.wrong_name(loc, "two names, such as 'mppt to house'")
                continue
            for each in pair:
                if each not in known:
                    spot, hint = self.document.key_spot(loc), did_you_mean(each, known)
                    self.problems.append(Problem(spot, dotted(loc), "a part or a place", shown(each), hint))
            if frozenset(pair) in case.distances:
                self.wrong_name(loc, "each distance once")
            made = self.leaf(loc, raw, field, f"distances.{key}")
            if made is not None:
                case.distances[frozenset(pair)] = made

    def answers(self, case: Case) -> None:
        """An answer speaks where the file itself is silent; it never outranks what was seen or read.

        Of two answers to one question the later counts.
        """
        answered: set[str] = set()
        for number, answer in enumerate(case.frame.answers):
            loc: Loc = ("answers", number)
            about = (*loc, "about")
            found = self.find(case, about, self.document.spot(about), answer.about)
            if found is None:
                continue
            its, key = found
            path = f"{its.name}.{key}"
            said = self.leaf((*loc, "answer"), answer.answer, its.form.fields[key], path, Origin.SAID)
            have = its.leaves.get(key)
            if said is None or (have is not None and have.known and path not in answered):
                continue
            if said.asked and have is not None:
                said = replace(have, asked=True)
            its.leaves[key] = replace(said, by=said.by or answer.by, at=said.at or answer.at)
            answered.add(path)
        for part in case.parts.values():
            # A part written once is one thing, unless its count was stated.
            one = Leaf(
                f"{part.name}.count", Span(1.0, 1.0), "count", Origin.SEEN, known=True, spot=part.spot
            )
            part.leaves.setdefault("count", one)

    def changes(self, case: Case) -> None:
        """Changes are applied when a later stage is asked for, as found stays as it is; what they set is read here.

        A part that comes or goes with a change, and a run, can be read only at that stage.
        """
        passing = {name for each in case.frame.changed for name in (*each.add.parts, *each.remove)}
        for number, changed in enumerate(case.frame.changed):
            for about, raw in changed.set.items():
                loc: Loc = ("changed", number, "set", about)
                name = about.rpartition(".")[0]
                if name in passing or "~" in name:
                    continue
                found = self.find(case, loc, self.document.key_spot(loc), about)
                if found is not None:
                    its, key = found
                    self.leaf(loc, raw, its.form.fields[key], f"{its.name}.{key}")

    def find(self, case: Case, loc: Loc, spot: Spot, about: str) -> tuple[Sheet, str] | None:
        """The sheet and the field that `b1.chemistry` or `mains.rcd` names; a problem where there is none."""
        name, _, key = about.partition(".")
        sheets: dict[str, Sheet] = {each.name: each for each in (case.habits, case.surroundings, case.mains)}
        sheets |= case.parts | case.places
        its = sheets.get(name)
        if its is None:
            if name not in case.frame.parts:  # else the part itself could not be read: said already
                expected, hint = "a part and its field, such as b1.chemistry", did_you_mean(name, sheets)
                self.problems.append(Problem(spot, dotted(loc), expected, shown(about), hint))
            return None
        fields = [each.name for each in its.form.fields.values() if not each.free_text and not each.parts]
        if key not in fields:
            hint = did_you_mean(key, fields)
            self.problems.append(Problem(spot, dotted(loc), f"a field of {name}", shown(about), hint))
            return None
        return its, key
