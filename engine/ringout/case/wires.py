"""Chains and feeds resolved against the parts: terminals, hops with ids, feeds that nobody is sure of.

Terminals are written ``b1+``, ``mppt.pv-``, ``fmain.in``: the default port is left out. A device that sits in
one pole has two ends; the left side of it in a chain is `in`, the right side `out`.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from itertools import count, pairwise
from typing import Any

from ringout.case.case import NOTHING, Feed, Hop, Part, Sheet
from ringout.case.form import sheet
from ringout.case.lines import Line, Said, read_line
from ringout.case.statement import NotAStatement, leaf
from ringout.case.wiring import End, NotAChain, ac_line, dc_chain
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice
from ringout.quantity.steady import steady
from ringout.quantity.traced import Value, formula
from ringout.text.checked import problem
from ringout.text.document import Document
from ringout.text.problem import Problem, did_you_mean, dotted, shown

GIVES = ("ac_gives", "ac_through", "ac_selects")
TAKES = ("ac_takes", "ac_through", "ac_selects")


@formula("sum of the lengths", dimension="length", source="plain addition")
def total_length_m(*lengths_m: float) -> float:
    """Length (m) of pieces one behind the other."""
    return sum(lengths_m)


class Wires:
    """Resolves the lines of `dc:` and `ac:`; problems go into the list it was given.

    `written` names the parts of the file, also those that could not be read, `taken` what else has a name.
    """

    def __init__(
        self,
        document: Document,
        parts: Mapping[str, Part],
        written: Collection[str],
        problems: list[Problem],
        taken: Collection[str] = (),
    ) -> None:
        self.document = document
        self.parts = parts
        self.written = written
        self.problems = problems
        self.taken = taken
        self.hops: dict[str, Hop] = {}
        self.feeds: list[Feed] = []

    # -- DC ------------------------------------------------------------------------------------------------

    def dc(self, lines: list[Any]) -> None:
        """All chains, in the order written."""
        for number, raw in enumerate(lines):
            line = read_line(self.document, ("dc", number), raw, "run", self.problems)
            if line is None:
                continue
            try:
                chain = dc_chain(line.text)
            except NotAChain as fault:
                self.fault(line, fault.expected, fault.found, fault.offset)
                continue
            if self.known(line, chain) and self.sound(line, chain):
                self.runs(line, chain)

    def sound(self, line: Line, chain: list[End]) -> bool:
        """Whether the chain could be wired as it is written."""
        before = len(self.problems)
        for end in chain:
            joins = self.joins(end)
            if joins is None:
                self.fault(line, self.dc_ends(end), str(end), end.offset)
            elif joins == "through" and end.pole:
                expected = f"{end.part} without + or -, since it sits in one pole"
                self.fault(line, expected, str(end), end.offset)
        for a, b in pairwise(chain):
            if a.part == b.part and (a.port == b.port or not a.port or not b.port):
                self.fault(line, f"another part after {a}", str(b), b.offset)
        pairs = [end for end in chain if self.joins(end) == "pair"]
        bare = next((end for end in pairs if not end.pole), None)
        if bare and any(end.pole for end in pairs):
            expected = f"{bare}+ or {bare}-, since the chain names a pole elsewhere"
            self.fault(line, expected, str(bare), bare.offset)
        elif bare:
            for end in (chain[0], chain[-1]):
                if self.joins(end) == "through":
                    expected = f"a part with plus and minus at both ends of the chain, as {bare} has"
                    hint = f"write {bare}+ or {bare}- if one pole is meant"
                    self.fault(line, expected, str(end), end.offset, hint)
        self.one_length_each(line, len(chain) - 1)
        return len(self.problems) == before

    def one_length_each(self, line: Line, hops: int) -> None:
        if len(line.lengths) in (0, hops):
            return
        expected = f"one length for each of the {hops} hops" if hops > 1 else "one length"
        spot = self.document.spot(line.lengths[0].loc)
        hint = "" if line.is_name else "write a line for each hop"
        self.problems.append(Problem(spot, dotted(line.loc), expected, str(len(line.lengths)), hint))

    def runs(self, line: Line, chain: list[End]) -> None:
        """The hops of a chain in one pole; of a chain of pairs both poles, its devices sitting in plus.

        Minus runs from pair to pair with the length of the hops it passes. A return on the same route shares
        the very leaf of the plus run: what is not known of one is not known of the other in the same way.
        """
        both = any(self.joins(end) == "pair" and not end.pole for end in chain)
        pole = "+" if both else ""
        first = self.named(line, f"{chain[0]}~{chain[1]}")
        more = self.statements(line, first, line.more)
        made: list[Hop] = []
        since = 0
        for number, (a, b) in enumerate(pairwise(chain)):
            id = first if number == 0 else self.unique(f"{a}~{b}")
            leaves = more | self.statements(line, id, line.measures(number))
            its = Sheet(id, sheet("run"), line.spot(self.document), leaves, dict(line.texts))
            plus = self.terminal(a, "out", pole), self.terminal(b, "in", pole)
            made.append(self.hop(line, id, plus, its.leaf("size"), its.leaf("length"), its))
            if both and self.joins(b) == "pair":
                passed, start = made[since:], chain[since]
                back = self.unique(f"{start}-~{b}-")
                run: Value = passed[0].length
                if len(passed) > 1:
                    run = steady(total_length_m, *(hop.length for hop in passed), name=f"{back}.length")
                minus = self.terminal(start, "", "-"), self.terminal(b, "", "-")
                self.hop(line, back, minus, passed[0].size, run, its)
                since = number + 1

    def hop(
        self, line: Line, id: str, ends: tuple[str, str], size: Leaf, length: Value, its: Sheet
    ) -> Hop:
        made = Hop(id, *ends, size, length, its.spot, line.supposed, its)
        self.hops[id] = made
        return made

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

    def dc_ends(self, end: End) -> str:
        """The DC ends that a part has, for the message about one that it has not."""
        its = self.parts[end.part].form
        ports = [port for port, how in its.ports.items() if how == "pair"]
        ports += ["in", "out"] if its.port("through") else []
        named = ", ".join(f"{end.part}.{port}" for port in ports)
        return f"one of {named}" if named else f"a part with DC ends ({end.part} is of kind {its.kind})"

    def terminal(self, end: End, side: str, pole: str) -> str:
        """`b1+`, `mppt.pv-`, `fmain.out`."""
        if self.joins(end) == "through":
            return f"{end.part}.{end.port if end.port in ('in', 'out') else side}"
        default = self.parts[end.part].form.port("pair", "through")
        port = f".{end.port}" if end.port and end.port != default else ""
        return f"{end.part}{port}{end.pole or pole}"

    # -- AC ------------------------------------------------------------------------------------------------

    def ac(self, lines: list[Any]) -> None:
        """All feeds, in the order written."""
        for number, raw in enumerate(lines):
            line = read_line(self.document, ("ac", number), raw, "feed", self.problems)
            if line is None:
                continue
            try:
                first, rest = ac_line(line.text)
            except NotAChain as fault:
                self.fault(line, fault.expected, fault.found, fault.offset)
                continue
            fed = [end for stage in rest for end in stage]
            if not self.known(line, [*first, *fed]):
                continue
            self.one_length_each(line, len(fed))
            sources = first
            for stage in rest:
                for end in stage:
                    self.feed(line, sources, end)
                sources = stage

    def feed(self, line: Line, sources: list[End], end: End) -> None:
        named = [self.ac_port(line, each, GIVES) for each in sources]
        to = self.ac_port(line, end, TAKES)
        if to is None or None in named:
            return
        names = tuple(str(each) for each in named)
        if any(feed.to == to for feed in self.feeds):
            hint = f"write 'a | b > {end}' where nobody knows which"
            self.note(line, f"one line that feeds {end}", "a second one", end.offset, hint)
            return
        id = f"{'|'.join(names)}~{to}"
        leaves = self.statements(line, id, line.more | line.measures(0))
        its = Sheet(id, sheet("run"), line.spot(self.document, end.offset), leaves, dict(line.texts))
        choice = self.choice(line, end, to, names)
        self.feeds.append(Feed(id, names, to, choice, its.spot, line.supposed, its))

    def choice(self, line: Line, end: End, to: str, names: tuple[str, ...]) -> Leaf:
        """Which of the sources feeds `to`: settled where one is written as seen, else open."""
        port = self.parts[end.part].form.port("ac_takes", "ac_through")
        path = f"{end.part}.fed_from" if to == f"{end.part}.{port}" else f"{to}.fed_from"
        written = Choice(frozenset(names))
        settled = written.exact and not line.supposed
        return Leaf(
            path,
            Choice(written.options | {NOTHING}) if line.supposed else written,
            origin=Origin.SEEN if settled else Origin.SUPPOSED if line.supposed else Origin.NOT_STATED,
            known=settled,
            text=line.text,
            spot=line.spot(self.document, end.offset),
            hint=written if line.supposed and written.exact else None,
        )

    def ac_port(self, line: Line, end: End, ways: tuple[str, ...]) -> str | None:
        """`part.port`, the default AC port where none is said; a changeover's inputs have any name."""
        its = self.parts[end.part].form
        port = self.port(end, ways)
        does = "gives" if ways is GIVES else "takes"
        if port is None:
            expected = f"a part that {does} AC ({end.part} is of kind {its.kind})"
            self.fault(line, expected, str(end), end.offset)
            return None
        if ways is TAKES and its.ports[port] == "ac_selects":
            if not end.port or end.port in its.ports:
                expected = f"the input of the changeover by a name, such as {end.part}.shore"
                self.fault(line, expected, str(end), end.offset)
                return None
            return f"{end.part}.{end.port}"
        if end.port and its.ports.get(end.port) not in ways:
            fitting = ", ".join(f"{end.part}.{name}" for name, how in its.ports.items() if how in ways)
            self.fault(line, f"a port that {does} AC ({fitting})", str(end), end.offset)
            return None
        return f"{end.part}.{end.port or port}"

    def port(self, end: End, ways: tuple[str, ...]) -> str | None:
        return self.parts[end.part].form.port(*ways)

    # -- both ----------------------------------------------------------------------------------------------

    def statements(self, line: Line, id: str, said: Mapping[str, Said]) -> dict[str, Leaf]:
        """The leaves of a run's statements; what is only supposed to run there is known only as supposed."""
        default = Origin.SUPPOSED if line.supposed else Origin.SEEN
        found = {}
        for key, each in said.items():
            field = sheet("run").fields[key]
            try:
                found[key] = leaf(
                    self.document, each.loc, each.raw, field, f"{id}.{key}", default, each.offset
                )
            except NotAStatement as fault:
                if fault.problem not in self.problems:  # one size may stand for several hops
                    self.problems.append(fault.problem)
        return found

    def known(self, line: Line, chain: list[End]) -> bool:
        """Whether every part of a line can be used; each that is not there is a problem at its own column."""
        for end in chain:
            if end.part not in self.written:
                hint = did_you_mean(end.part, self.written)
                self.fault(line, "the name of a part", end.part, end.offset, hint)
        return all(end.part in self.parts for end in chain)

    def fault(self, line: Line, expected: str, found: str | None, offset: int, hint: str = "") -> None:
        self.note(line, expected, shown(found), offset, hint)

    def note(self, line: Line, expected: str, found: str, offset: int, hint: str = "") -> None:
        """A problem in the text of a line; `found` reads on from that word."""
        spot = line.spot(self.document, offset)
        self.problems.append(Problem(spot, dotted(line.loc), expected, found, hint))

    def named(self, line: Line, id: str) -> str:
        """The name given to the first hop of a line, else its two ends."""
        name = line.texts.get("name")
        if name is None:
            return self.unique(id)
        if name in self.hops or name in self.written or name in self.taken:
            where = (*line.loc, "name")
            self.problems.append(problem(self.document, where, "a name that nothing else has", name))
        return name

    def unique(self, id: str) -> str:
        """The id, or with #2, #3 behind it for a further cable between the same ends."""
        if id not in self.hops:
            return id
        return next(made for made in (f"{id}#{n}" for n in count(2)) if made not in self.hops)
