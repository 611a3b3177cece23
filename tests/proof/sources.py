"""Does each leaf stand in the file as it claims? What was stated, what nobody stated, what a table gives.

Kinds checked: a statement of a part, run, place or sheet, short or long; a size or length within a chain; a reading;
how completely a kind was looked for; the place of a part; a feed that may come from several; the region; a table, a
limit, an amount in a rule; a whole number of a formula; a thing supposed to be there; what nobody stated, against the
file (no such statement, or one that says it is not known) and against the widest its form allows.
"""

from __future__ import annotations

import itertools
import math
import re
from collections import Counter
from pathlib import Path
from typing import Any

from knowledge import RULES, form_field
from written import ORIGINS, UNKNOWN, CannotRead, NothingThere, Place, at, first, origin, plain, same_word, span, words

TOP = RULES.parent
SHEETS = ("habits", "surroundings", "mains")
WEAK = ("assumed", "supposed")
PLACES = set(form_field("place", "sort")["choice"])


class Sources:
    """Checks leaves against one case file; `counts` says how many of which kind were checked or not."""

    def __init__(self, case: Path) -> None:
        self.path = case
        self.raw = plain(case)
        self.counts: Counter[str] = Counter()

    def wrong_with(self, leaf: Any) -> str:
        """What does not agree with the file, empty where all does."""
        try:
            if leaf.path.startswith("number."):
                return self._counted("number", self._number(leaf))
            if leaf.origin == "table":
                return self._counted("table", self._table(leaf))
            if leaf.known:
                return self._counted("stated", self._stated(leaf))
            return self._counted("not stated", self._unstated(leaf))
        except NothingThere as reason:
            return self._counted("nothing there", f"{leaf.path}: {reason}")
        except CannotRead as reason:
            self.counts["not checked"] += 1
            self.counts[f"not checked: {leaf.path.split('.')[-1]}: {reason}"] += 1
            return ""

    def _counted(self, kind: str, fault: str) -> str:
        self.counts[kind] += 1
        return fault

    # -- numbers and tables ----------------------------------------------------------------------------------

    def _number(self, leaf: Any) -> str:
        number = float(leaf.path.removeprefix("number."))
        return "" if (leaf.domain.lo, leaf.domain.hi) == (number, number) else f"{leaf.path} is not {number}"

    def _table(self, leaf: Any) -> str:
        if leaf.spot is None:
            return f"{leaf.path} is of a table and names no place"
        file = Path(leaf.spot.file)
        if not file.resolve().is_relative_to(RULES):
            return f"{leaf.path} is of a table and stands in {file}"
        place = at(file.resolve(), leaf.spot.line, leaf.spot.column)
        kind, _, name = leaf.path.partition(".")
        if kind == "rule":
            if name != f"{leaf.spot.line}.{leaf.spot.column}":
                return f"{leaf.path} stands elsewhere: {leaf.spot}"
        elif ".".join(key for key in place.keys if key not in ("by", "value", "number")) != name:
            return f"{leaf.path} names {'.'.join(place.keys)}"
        return self._ranges(leaf, place.text, exactly=True)

    # -- what was stated -------------------------------------------------------------------------------------

    def _stated(self, leaf: Any) -> str:
        if leaf.spot is None:
            return f"{leaf.path} is stated and names no place"
        if Path(leaf.spot.file).resolve() != self.path:
            return f"{leaf.path} is stated in another file: {leaf.spot}"
        if leaf.path.endswith(".as_read"):
            return self._contradicted(leaf)
        place = at(self.path, leaf.spot.line, leaf.spot.column) if not self._long(leaf) else self._is(leaf)
        if leaf.path.endswith(".count") and len(place.keys) == 2:  # one part, unless the file says more
            fits = "count" not in plain_part(self.raw, place) and (leaf.domain.lo, leaf.domain.hi) == (1, 1)
            return "" if fits else f"{leaf.path}: the file does not say one"
        if place.keys[0] == "ac" and leaf.path.endswith(".fed_from"):
            return self._fed(leaf, place)
        if leaf.path.endswith(".there"):
            return self._there(leaf, place)
        named = self._named(leaf, place)
        if named:
            return named
        text, said = origin(first(place.text) if place.inside or place.keys[0] == "dc" else place.text)
        said = said or self._from(leaf)
        if said and said != leaf.origin:
            return f"{leaf.path}: the file says {said}, the leaf {leaf.origin}"
        if not said and leaf.origin not in ("seen", "measured", "display"):
            return f"{leaf.path}: the file names no origin, the leaf {leaf.origin}"
        if said in WEAK:
            return f"{leaf.path}: only {said}, yet relied on"
        if hasattr(leaf.domain, "options"):
            wanted = {same_word(word) for word in words(text)}
            have = {same_word(word) for word in leaf.domain.options}
            return "" if wanted == have else f"{leaf.path}: the file says {text}, the leaf {sorted(have)}"
        return self._ranges(leaf, text) if place.keys[0] != "readings" else self._read(leaf, place.keys[1])

    def _contradicted(self, leaf: Any) -> str:
        """Whether a statement that a reading contradicts is as wide as both, and still shows what it shows."""
        part, field, _ = leaf.path.split(".")
        _, name = leaf.doubt.path.split(".")
        stated, read = origin(self.raw["parts"][part][field])[0], self.raw["readings"][name]
        if read["of"] != part or stated in UNKNOWN:
            return f"{leaf.path}: the file has {stated} and a reading of {read['of']}"
        if hasattr(leaf.domain, "options"):
            both, own = words(stated) | words(read["value"]), words(stated)
            return "" if (leaf.domain.options, leaf.word.options) == (both, own) else f"{leaf.path} is not {both}"
        spans = [span(stated, leaf.dimension), span(read["value"], leaf.dimension)]
        both = min(lo for lo, _ in spans), max(hi for _, hi in spans)
        mine = (leaf.domain.lo, leaf.domain.hi), (leaf.word.lo, leaf.word.hi)
        return "" if mine == (both, spans[0]) else f"{leaf.path} is not {both}"

    def _read(self, leaf: Any, name: str) -> str:
        """Whether a reading is as wide as what it and its repeats say, each as wide as the class of its instrument."""
        every = self.raw["readings"]
        names = {name}
        while more := {key for key, its in every.items() if its.get("repeats") in names or key in
                       {every[each].get("repeats") for each in names}} - names:  # fmt: skip
            names |= more
        spans = []
        for each in sorted(names):
            lo, hi = span(origin(every[each]["value"])[0], leaf.dimension)
            off = span(every[each]["within"], "ratio")[1] if "within" in every[each] else 0.0
            spans.append((lo - off * abs(lo), hi + off * abs(hi)))
        own = min(lo for lo, _ in spans), max(hi for _, hi in spans)
        fits = math.isclose(own[0], leaf.domain.lo) and math.isclose(own[1], leaf.domain.hi)
        return "" if fits else f"{leaf.path}: the file says {own}, the leaf {leaf.domain.lo!r}..{leaf.domain.hi!r}"

    def _fed(self, leaf: Any, place: Place) -> str:
        """Whether a feed stands in its line: the source just left of the mark, what is fed just right of it."""
        whole = self.raw["ac"][int(place.keys[1])]
        text = whole if isinstance(whole, str) else next(each for each in whole.values() if ">" in str(each))
        steps = [{origin(end)[0] for end in part.split(",")} for part in text.split(">")]
        fed = leaf.path.removesuffix(".fed_from")
        (source,) = leaf.domain.options
        for left, right in itertools.pairwise(steps):
            if right & {fed, f"{fed}.ac"} and left & {source, source.removesuffix(".ac")}:
                return ""
        return f"{leaf.path}: {text} does not feed it from {source}"

    def _there(self, leaf: Any, place: Place) -> str:
        """Whether a part or run that counts as seen is written as one that is there."""
        its = self.raw[place.keys[0]]
        line = its[int(place.keys[1])] if isinstance(its, list) else its[place.keys[1]]
        here = "supposed" not in line  # as a word of the text, or as a name of the mapping
        return "" if here and leaf.domain.options == {"yes"} else f"{leaf.path}: the file supposes it"

    def _node(self, leaf: Any) -> Any:
        """The value in the file by the names in the path of a leaf, None where there is none."""
        owner, _, name = leaf.path.rpartition(".")
        for section in ("parts", "places"):
            its = self.raw.get(section, {}).get(owner)
            if isinstance(its, dict):
                return its.get(name)
        return self.raw[owner].get(name) if isinstance(self.raw.get(owner), dict) and owner in SHEETS else None

    def _long(self, leaf: Any) -> bool:
        return isinstance(self._node(leaf), dict)

    def _is(self, leaf: Any) -> Place:
        node = self._node(leaf)
        return Place((*leaf.path.split("."), "is"), node["is"], False)

    def _from(self, leaf: Any) -> str:
        node = self._node(leaf)
        return node.get("from", "") if isinstance(node, dict) else ""

    def _named(self, leaf: Any, place: Place) -> str:
        """Whether the place found is that of the field the leaf is named for."""
        owner, _, name = leaf.path.rpartition(".")
        top = place.keys[0]
        keys = [key for key in place.keys if key != "is"]
        if top in ("parts", "places"):
            fits = len(keys) >= 3 and (keys[1] in self._alike(owner)) and keys[2] in (name, "place")
        elif top in (*SHEETS, "looked_for"):
            fits = leaf.path == ".".join(keys)
        elif top == "readings":
            fits = leaf.path.split(".")[:2] == keys[:2] or leaf.path.split(".")[-1] in keys
        elif top == "dc":
            fits = name in ("size", "length") or name in keys or name.rpartition(".")[2] in keys
        else:
            fits = name in keys or top in ("ac", "distances")
        return "" if fits else f"{leaf.path} stands at the place of {'.'.join(place.keys)}"

    def _alike(self, owner: str) -> set[str]:
        groups = [set(line.split() if isinstance(line, str) else line) for line in self.raw.get("alike", ())]
        return {owner}.union(*(group for group in groups if owner in group))

    def _ranges(self, leaf: Any, text: str, exactly: bool = False) -> str:
        lo, hi = span(text, leaf.dimension)
        for mine, its in ((lo, leaf.domain.lo), (hi, leaf.domain.hi)):
            if math.isinf(mine) and not exactly:
                continue  # an end that was not stated is closed by what the form allows
            if not math.isclose(mine, its, rel_tol=1e-9, abs_tol=1e-12):
                return f"{leaf.path}: the file says {text}, the leaf {leaf.domain.lo!r}..{leaf.domain.hi!r}"
        return ""

    # -- what nobody stated ----------------------------------------------------------------------------------

    def _unstated(self, leaf: Any) -> str:
        owner, _, name = leaf.path.rpartition(".")
        if name == "there":
            right = leaf.origin == "supposed" and leaf.domain.options == {"yes", "no"} and self._supposed(owner)
            return "" if right else f"{leaf.path}: nothing is supposed"
        if leaf.path.startswith("looked_for."):
            said = self.raw.get("looked_for", {}).get(name)
            return "" if said is None or same_word(said) in UNKNOWN else f"{leaf.path}: the file says {said}"
        if name == "fed_from":
            return "" if len(leaf.domain.options) > 1 else f"{leaf.path}: one source only, yet not known"
        said = self._said(owner, name)
        if name == "place":  # named, yet nobody said what sort of place that is
            said = [each for each in said if each in self.raw.get("places", {}) or each in PLACES]
        for text in said:
            if same_word(origin(text)[0]) in UNKNOWN or origin(text)[1] in WEAK:
                continue
            if leaf.origin != "supposed" or not self._supposed(owner):
                return f"{leaf.path}: called not stated, the file says {text}"
        return self._widest(leaf, owner, name)

    def _said(self, owner: str, name: str) -> list[str]:
        """What the file says of a field, of its owner or of a part declared alike."""
        found: list[Any] = []
        known = False
        for section in ("parts", "places"):
            for each in self._alike(owner):
                its = self.raw.get(section, {}).get(each)
                known = known or isinstance(its, dict)
                if isinstance(its, dict) and name in its and (each == owner or self._of_its_make(its, name)):
                    found.append(its[name])
        if owner in SHEETS:
            known = True
            found += [self.raw.get(owner, {})[name]] if name in self.raw.get(owner, {}) else []
        if owner == "installation":
            known = True
            found += [self.raw[name]] if name in self.raw else []
        if "~" in owner:
            known = True
            found += self._runs(owner, name)
        if owner.endswith(".place") and owner.removesuffix(".place") in self.raw.get("parts", {}):
            place = self.raw["parts"][owner.removesuffix(".place")].get("place", "")
            known = True
            found += [place] if place in self.raw.get("places", {}) else []
        for part, its in self.raw.get("parts", {}).items():
            if owner.startswith(f"{part}."):
                known = True
                found += [its[name]] if isinstance(its, dict) and name in its else []
        if not known:
            raise CannotRead(f"nothing is named {owner}")
        return [each if isinstance(each, str) else f"{each['is']} ({each.get('from', 'seen')})" for each in found]

    def _of_its_make(self, its: dict[str, Any], name: str) -> bool:
        """Whether a field is one that parts declared alike share: what a label or manual of their make tells."""
        declared = form_field(its["kind"], name)
        return declared is not None and declared.get("where") in ("label", "manual")

    def _supposed(self, owner: str) -> bool:
        """Whether a part, or a run along a hop, is written as one that is only supposed."""
        its = self.raw.get("parts", {}).get(owner, {})
        return its.get("supposed") == "yes" or "yes" in self._runs(owner, "supposed")

    def _runs(self, owner: str, name: str) -> list[str]:
        """What runs written long that hold both ends of a hop say of a field."""
        both = [re.sub(r"[+-]?(\..*)?$", "", end) for end in owner.split("~")]
        found = []
        for line in [*self.raw.get("dc", ()), *self.raw.get("ac", ())]:
            if isinstance(line, dict) and name in line:
                names = re.findall(r"[a-z0-9_]+", line.get("run", line.get("feed", "")))
                if all(end in names for end in both):
                    found.append(line[name])
        return found

    def _widest(self, leaf: Any, owner: str, name: str) -> str:
        """Whether an unknown value is taken as no narrower than its form allows."""
        kind = "run" if "~" in owner else owner if owner in (*SHEETS, "installation") else ""
        for section in ("parts", "places"):
            its = self.raw.get(section, {}).get(owner)
            if isinstance(its, dict):
                kind = its["kind"] if section == "parts" else "place"
        declared = form_field(kind, name) if kind else None
        if declared is None or not declared.get("choice" if hasattr(leaf.domain, "options") else "bounds"):
            self.counts["not stated, width not checked"] += 1
            return ""
        if hasattr(leaf.domain, "options"):
            options = set(declared["choice"])
            return "" if leaf.domain.options >= options else f"{leaf.path}: narrower than {sorted(options)}"
        lo, hi = span(declared["bounds"], declared["quantity"])
        slack = 1e-9 * max(abs(lo), abs(hi))
        wide = leaf.domain.lo <= lo + slack and leaf.domain.hi >= hi - slack
        return "" if wide else f"{leaf.path}: {leaf.domain.lo}..{leaf.domain.hi} is narrower than {declared['bounds']}"


def plain_part(raw: dict[str, Any], place: Place) -> dict[str, Any]:
    """The mapping at a place that is no scalar."""
    made: dict[str, Any] = raw[place.keys[0]][place.keys[1]]
    return made


assert set(WEAK) < ORIGINS
