"""Chains and feeds resolved against the parts: terminals, hops with ids of their own, feeds that nobody is sure of.

Terminals are written ``b1+``, ``mppt.pv-``, ``fmain.in``: the default port is left out. A device that sits in one
pole has two ends; the left side of it in a chain is `in`, the right side `out`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ringout.case.case import NOTHING, Feed, Hop, Part, Sheet
from ringout.case.form import sheet
from ringout.case.statement import NotAStatement, leaf, unstated
from ringout.case.wiring import End, NotAChain, Piece, ac_line, dc_chain, pieces
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice
from ringout.quantity.traced import Value, formula
from ringout.text.checked import problem, shown, unknown_key
from ringout.text.document import Document
from ringout.text.problem import Loc, Problem, Spot, did_you_mean

OTHER = {"+": "-", "-": "+"}


@formula("sum of the lengths", dimension="length", source="plain addition")
def total_length_m(*lengths_m: float) -> float:
    """Length (m) of pieces one behind the other."""
    return sum(lengths_m)


class Wires:
    """Resolves the lines of `dc:` and `ac:`; problems go into the list it was given."""

    def __init__(
        self, document: Document, parts: Mapping[str, Part], written: set[str], problems: list[Problem]
    ) -> None:
        self.document = document
        self.parts = parts
        self.written = written
        self.problems = problems
        self.hops: dict[str, Hop] = {}
        self.feeds: list[Feed] = []

    # -- DC --------------------------------------------------------------------------------------------------

    def dc(self, lines: list[Any]) -> None:
        """All chains, in the order written."""
        for number, raw in enumerate(lines):
            line = self.line(("dc", number), raw, "run")
            if line is None:
                continue
            try:
                chain = dc_chain(line.text)
            except NotAChain as fault:
                self.fault(line, fault.expected, fault.found, fault.offset)
                continue
            if self.known(line, chain):
                self.chain(line, chain)

    def chain(self, line: _Line, chain: list[End]) -> None:
        joins = [self.joins(end) for end in chain]
        for end, how in zip(chain, joins, strict=True):
            if how is None:
                self.fault(line, "a part with DC terminals", str(end), end.offset)
                return
            if how == "through" and end.pole:
                self.fault(line, f"{end.part} without + or -, since it sits in one pole", str(end), end.offset)
                return
        pairs = [end for end, how in zip(chain, joins, strict=True) if how == "pair"]
        poled = [end for end in pairs if end.pole]
        if poled and len(poled) != len(pairs):
            bare = next(end for end in pairs if not end.pole)
            self.fault(line, f"{bare}+ or {bare}- (the other end of the chain names its pole)", str(bare), bare.offset)
            return
        sizes = self.sizes(line, len(chain) - 1)
        if sizes is None:
            return
        if poled or not pairs:
            self.single(line, chain, joins, sizes)
        else:
            self.pair(line, chain, joins, sizes)

    def single(self, line: _Line, chain: list[End], joins: list[str | None], sizes: list[tuple[Any, Any]]) -> None:
        """Every hop of a chain in one pole."""
        for number, (size, length) in enumerate(sizes):
            a, b = chain[number], chain[number + 1]
            id = self.new_id(line, number, f"{a}~{b}")
            self.hop(line, id, self.terminal(a, joins[number], "out"), self.terminal(b, joins[number + 1], "in"), size, length)

    def pair(self, line: _Line, chain: list[End], joins: list[str | None], sizes: list[tuple[Any, Any]]) -> None:
        """Both poles: devices sit in plus; minus runs from pair to pair with the length of the hops it passes.

        A return that follows the same route shares the very leaf of the plus run: what is not known of one is
        not known of the other in the same way.
        """
        since: list[Value] = []
        start = chain[0]
        size_leaf: Leaf | None = None
        for number, (size, length) in enumerate(sizes):
            a, b = chain[number], chain[number + 1]
            id = self.new_id(line, number, f"{a}~{b}")
            plus_a = self.terminal(a, joins[number], "out", "+")
            plus_b = self.terminal(b, joins[number + 1], "in", "+")
            hop = self.hop(line, id, plus_a, plus_b, size, length)
            if hop is None:
                return
            since.append(hop.length)
            size_leaf = size_leaf or hop.size
            if joins[number + 1] == "pair":
                minus = f"{start}-~{b}-"
                run = since[0] if len(since) == 1 else total_length_m.of(*since, name=f"{minus}.length")
                self.hops[minus] = Hop(
                    self.unique(minus),
                    self.terminal(start, "pair", "", "-"),
                    self.terminal(b, "pair", "", "-"),
                    size_leaf,
                    run,
                    line.spot,
                    line.supposed,
                    hop.sheet,
                )
                start, since, size_leaf = b, [], None
        if since:
            last = chain[-1]
            self.fault(line, f"a pair such as a load or bars at the end, or poles (+, -)", str(last), last.offset)

    def hop(self, line: _Line, id: str, a: str, b: str, size: Any, length: Any) -> Hop | None:
        form = sheet("run")
        its = Sheet(id, form, line.spot, dict(line.more.leaves), dict(line.more.texts))
        try:
            for key, piece in (("size", size), ("length", length)):
                if piece is not None:
                    loc, raw, offset = piece
                    its.leaves[key] = self.value(loc, raw, offset, key, f"{id}.{key}")
        except NotAStatement as fault:
            self.problems.append(fault.problem)
            return None
        for key in ("size", "length"):
            if key not in its.leaves:
                its.leaves[key] = unstated(f"{id}.{key}", form.fields[key], spot=line.spot)
        made = Hop(id, a, b, its.leaves["size"], its.leaves["length"], line.spot, line.supposed, its)
        self.hops[id] = made
        return made

    def value(self, loc: Loc, raw: Any, offset: int, key: str, path: str) -> Leaf:
        """A size or length inside a chain; the problem points into the text of the line."""
        try:
            return leaf(self.document, loc, raw, sheet("run").fields[key], path)
        except NotAStatement as fault:
            if not offset:
                raise
            found = fault.problem
            spot = Spot(found.spot.file, found.spot.line, found.spot.column + offset)
            raise NotAStatement(Problem(spot, found.path, found.expected, found.found, found.hint)) from None

    def sizes(self, line: _Line, hops: int) -> list[tuple[Any, Any]] | None:
        """(size, length) statements for each hop as (loc, text, offset), None where not given."""
        if line.size is not None or line.length is not None:
            if hops != 1 and line.length is not None:
                self.problems.append(problem(self.document, line.loc, "one hop in a run with a length", line.text))
                return None
            return [(line.size, line.length)] * hops
        if not line.behind:
            return [(None, None)] * hops
        size = line.behind[0]
        lengths = line.behind[1:]
        if len(lengths) not in (0, hops):
            expected = f"one size, then {hops} length{'s' if hops > 1 else ''} (one a hop)"
            found = f"{len(lengths)} length{'s' if len(lengths) != 1 else ''}"
            self.problems.append(Problem(self.document.spot(line.value_loc), line.path, expected, found))
            return None
        loc = line.value_loc
        first = (loc, size.text, size.offset)
        return [(first, (loc, lengths[n].text, lengths[n].offset) if lengths else None) for n in range(hops)]

    def joins(self, end: End) -> str | None:
        """How a DC end joins (`pair` or `through`), None where the part has no such port."""
        its = self.parts[end.part].form
        if end.port:
            if its.port("through") and end.port in ("in", "out"):
                return "through"
            how = its.ports.get(end.port)
            return how if how in ("pair", "through") else None
        port = its.port("pair", "through")
        return its.ports[port] if port else None

    def terminal(self, end: End, joins: str | None, side: str, pole: str = "") -> str:
        """`b1+`, `mppt.pv-`, `fmain.out`."""
        if joins == "through":
            return f"{end.part}.{end.port if end.port in ('in', 'out') else side}"
        default = self.parts[end.part].form.port("pair", "through")
        port = f".{end.port}" if end.port and end.port != default else ""
        return f"{end.part}{port}{end.pole or pole}"

    # -- AC --------------------------------------------------------------------------------------------------

    def ac(self, lines: list[Any]) -> None:
        """All feeds, in the order written."""
        for number, raw in enumerate(lines):
            line = self.line(("ac", number), raw, "feed")
            if line is None:
                continue
            try:
                first, rest = ac_line(line.text)
            except NotAChain as fault:
                self.fault(line, fault.expected, fault.found, fault.offset)
                continue
            if not self.known(line, [*first, *(end for stage in rest for end in stage)]):
                continue
            sources = first
            for stage in rest:
                for end in stage:
                    self.feed(line, sources, end)
                sources = stage

    def feed(self, line: _Line, sources: list[End], end: End) -> None:
        named = [self.ac_port(line, each, gives=True) for each in sources]
        to = self.ac_port(line, end, gives=False)
        if to is None or None in named:
            return
        names = tuple(str(each) for each in named)
        port = self.parts[end.part].form.port("ac_takes", "ac_through")
        path = f"{end.part}.fed_from" if to == f"{end.part}.{port}" else f"{to}.fed_from"
        settled = Choice(frozenset(names))
        choice = Leaf(
            path,
            Choice(settled.options | {NOTHING}) if line.supposed else settled,
            origin=Origin.SUPPOSED if line.supposed else Origin.SEEN if settled.exact else Origin.NOT_STATED,
            known=settled.exact and not line.supposed,
            text=line.text,
            spot=line.spot,
            hint=settled if line.supposed and settled.exact else None,
        )
        if any(feed.to == to for feed in self.feeds):
            self.fault(line, f"{to} fed once (write 'a | b > {end.part}' where nobody knows which)", str(end), end.offset)
            return
        self.feeds.append(Feed(f"{'|'.join(names)}~{to}", names, to, choice, line.spot, line.supposed))

    def ac_port(self, line: _Line, end: End, *, gives: bool) -> str | None:
        """`part.port`, the default AC port where none is said; a changeover's inputs take names of their own."""
        its = self.parts[end.part].form
        ways = ("ac_gives", "ac_through", "ac_selects") if gives else ("ac_takes", "ac_through", "ac_selects")
        port = its.port(*ways)
        if port is None:
            does = "gives" if gives else "takes"
            self.fault(line, f"a part that {does} AC", f"{end}, a {its.kind}", end.offset)
            return None
        how = its.ports[port]
        if how == "ac_selects" and not gives:
            if not end.port:
                self.fault(line, f"the input of the changeover, such as {end.part}.shore", str(end), end.offset)
                return None
            return f"{end.part}.{end.port}"
        if end.port and end.port != port:
            if its.ports.get(end.port) not in ways:
                self.fault(line, f"a port of {end.part} ({', '.join(its.ports)})", str(end), end.offset)
                return None
            return f"{end.part}.{end.port}"
        return f"{end.part}.{port}"

    # -- lines -----------------------------------------------------------------------------------------------

    def line(self, loc: Loc, raw: Any, key: str) -> _Line | None:
        """A line in any of its three forms: a text, a text with sizes behind a colon, a mapping."""
        nothing = Sheet("", sheet("run"), self.document.spot(loc))
        if isinstance(raw, str):
            return _Line(raw, loc, loc, self.document.spot(loc), nothing)
        if isinstance(raw, dict) and key in raw:
            return self.long_line(loc, raw, key, nothing)
        if isinstance(raw, dict) and len(raw) == 1:
            (text, behind), = raw.items()
            value_loc = (*loc, text)
            if isinstance(behind, str):
                spot = self.document.key_spot(value_loc)
                return _Line(text, loc, value_loc, spot, nothing, behind=pieces(behind))
            self.problems.append(problem(self.document, value_loc, "a size and lengths", behind))
            return None
        example = "b1+ = fmain : 50 mm2, 0.2 m" if key == "run" else "inlet > board"
        self.problems.append(problem(self.document, loc, f"a line such as {example}", raw))
        return None

    def long_line(self, loc: Loc, raw: dict[str, Any], key: str, more: Sheet) -> _Line | None:
        text = raw[key]
        if not isinstance(text, str):
            self.problems.append(problem(self.document, (*loc, key), "a line of parts", text))
            return None
        form = sheet("run")
        size = length = None
        for name, value in raw.items():
            where = (*loc, name)
            if name in (key, "supposed"):
                continue
            field = form.fields.get(name)
            if field is None:
                self.problems.append(unknown_key(self.document, where, [*form.fields, key, "supposed"]))
            elif name == "size":
                size = (where, value, 0)
            elif name == "length":
                length = (where, value, 0)
            elif field.free_text:
                more.texts[name] = str(value)
            else:
                try:
                    more.leaves[name] = leaf(self.document, where, value, field, f"{text}.{name}")
                except NotAStatement as fault:
                    self.problems.append(fault.problem)
        line = _Line(text, loc, (*loc, key), self.document.spot((*loc, key)), more, size=size, length=length)
        line.supposed = raw.get("supposed") == "yes"
        return line

    def known(self, line: _Line, chain: list[End]) -> bool:
        """Whether every part of a line exists; each that does not is a problem at its own column."""
        good = True
        for end in chain:
            if end.part not in self.parts:
                good = False
                if end.part not in self.written:
                    hint = did_you_mean(end.part, self.parts)
                    self.fault(line, "the name of a part", end.part, end.offset, hint)
        return good

    def fault(self, line: _Line, expected: str, found: str, offset: int, hint: str = "") -> None:
        spot = Spot(line.spot.file, line.spot.line, line.spot.column + offset)
        self.problems.append(Problem(spot, line.path, expected, shown(found), hint))

    def new_id(self, line: _Line, number: int, id: str) -> str:
        """The name given to a single hop, else its two ends; a second cable between the same ends gets #2."""
        return self.unique(line.more.texts.get("name", id) if number == 0 else id)

    def unique(self, id: str) -> str:
        if id not in self.hops:
            return id
        return next(made for made in (f"{id}#{n}" for n in range(2, 10_000)) if made not in self.hops)


class _Line:
    """One written line: its text, where it stands, what stands behind the colon, further statements."""

    def __init__(
        self,
        text: str,
        loc: Loc,
        value_loc: Loc,
        spot: Spot,
        more: Sheet,
        behind: list[Piece] | None = None,
        size: Any = None,
        length: Any = None,
    ) -> None:
        self.text = text
        self.loc = loc
        self.value_loc = value_loc
        self.spot = spot
        self.more = more
        self.behind = behind or []
        self.size = size
        self.length = length
        self.supposed = False

    @property
    def path(self) -> str:
        return ".".join(str(each + 1) if isinstance(each, int) else each for each in self.loc)
