"""The case as the rest of the program sees it: parts, hops, feeds and statements, every value a leaf."""

from __future__ import annotations

from dataclasses import dataclass, field

from ringout.case.form import Form, sheet
from ringout.case.frame import LOOKED, REGIONS, CaseFile, Complaint, Reading
from ringout.case.statement import unstated
from ringout.quantity.leaf import Leaf, Origin
from ringout.quantity.span import Choice
from ringout.quantity.traced import Value
from ringout.text.document import Document
from ringout.text.problem import Spot

YES_NO = Choice(frozenset({"yes", "no"}))


@dataclass(slots=True)
class Sheet:
    """Statements under one form: a part's, a place's, the habits. Fields nobody mentioned are open leaves."""

    name: str
    form: Form
    spot: Spot
    leaves: dict[str, Leaf] = field(default_factory=dict)
    texts: dict[str, str] = field(default_factory=dict)
    names: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def leaf(self, name: str) -> Leaf:
        """The leaf of a field, the widest its form allows where nothing was stated.

        KeyError where the form has no such field, LookupError where it holds words or names of parts.
        """
        if name not in self.leaves:
            self.leaves[name] = unstated(f"{self.name}.{name}", self.form.fields[name], spot=self.spot)
        return self.leaves[name]

    def word(self, name: str) -> str | None:
        """The one word a choice field is settled to, or None."""
        leaf = self.leaves.get(name)
        domain = self.form.fields[name].widest if leaf is None else leaf.domain
        return domain.only if isinstance(domain, Choice) and domain.exact else None


@dataclass(slots=True)
class Part(Sheet):
    """One part, or several identical ones written as one (`count`)."""

    supposed: bool = False
    place: str = ""

    @property
    def there(self) -> Leaf:
        """Whether the part is really there."""
        return there(self.name, self.spot, self.supposed)

    @property
    def kind(self) -> str:
        return self.form.kind

    @property
    def guards(self) -> bool:
        """Whether what it is made for can be counted on: it was seen, and not as taken out or bypassed."""
        return not self.supposed and self.word("status") not in OUT_OF_USE

    def acts_as(self, *roles: str) -> bool:
        """Whether the part has one of the roles."""
        return not self.form.roles.isdisjoint(roles)


OUT_OF_USE = frozenset(
    {
        "disconnected", "bypassed", "bridged", "prepared", "spare", "planned", "removed", "destroyed",
        "failed_short",
    }
)
"""What `status` says of a part that stands in the drawing and does not do its work."""

NOTHING = "nothing"
"""What a feed comes from that is only supposed and turns out not to be there."""


def there(name: str, spot: Spot, supposed: bool) -> Leaf:
    """Whether a part or run is there, as a leaf: yes where it was written as seen, open where supposed."""
    yes = Choice(frozenset({"yes"}))
    if supposed:
        return Leaf(f"{name}.there", YES_NO, origin=Origin.SUPPOSED, spot=spot, hint=yes)
    return Leaf(f"{name}.there", yes, origin=Origin.SEEN, known=True, text="yes", spot=spot)


@dataclass(frozen=True, slots=True)
class Hop:
    """One conductor of one pole. `size` mm2, `length` m (a sum where it passes devices)."""

    id: str
    a: str
    b: str
    size: Leaf
    length: Value
    spot: Spot
    supposed: bool = False
    sheet: Sheet | None = None

    @property
    def there(self) -> Leaf:
        """Whether the run is really there: settled by being written, open where it is only supposed."""
        return there(self.id, self.spot, self.supposed)

    def leaf(self, name: str) -> Leaf:
        """What is said of a field of the run, open where nothing is."""
        if self.sheet is not None:
            return self.sheet.leaf(name)
        return unstated(f"{self.id}.{name}", sheet("run").fields[name], spot=self.spot)


@dataclass(frozen=True, slots=True)
class Feed:
    """An AC feed to `to` ("part.port"); `choice` says from which of `sources`, or `NOTHING` if supposed."""

    id: str
    sources: tuple[str, ...]
    to: str
    choice: Leaf
    spot: Spot
    supposed: bool = False
    sheet: Sheet | None = None


@dataclass(frozen=True, slots=True)
class Taken:
    """A reading with its value as a leaf; `repeated` where a repeat in the same state agrees with it."""

    name: str
    reading: Reading
    value: Leaf
    repeated: bool = False


@dataclass(slots=True)
class Case:
    """One installation at one stage. Names are as written; nothing is added that the file does not say."""

    document: Document
    frame: CaseFile
    habits: Sheet
    surroundings: Sheet
    mains: Sheet
    dc_volts: Leaf
    ac_volts: Leaf
    parts: dict[str, Part] = field(default_factory=dict)
    hops: dict[str, Hop] = field(default_factory=dict)
    feeds: list[Feed] = field(default_factory=list)
    places: dict[str, Sheet] = field(default_factory=dict)
    distances: dict[frozenset[str], Leaf] = field(default_factory=dict)
    readings: list[Taken] = field(default_factory=list)
    looked_for: dict[str, Leaf] = field(default_factory=dict)
    since: frozenset[str] = frozenset()
    """What was changed after the readings were taken, which no longer speak of it: fields by path, runs, parts."""
    _region: Leaf | None = field(init=False, default=None, compare=False, repr=False)

    @property
    def title(self) -> str:
        return self.frame.case

    @property
    def complaints(self) -> dict[str, Complaint]:
        return self.frame.complaints

    @property
    def region(self) -> Leaf:
        """The region whose rules apply, as a leaf: any of them where the file does not say."""
        if self._region is None:
            self._region = self._region_of_file()
        return self._region

    def _region_of_file(self) -> Leaf:
        if "region" not in self.frame.model_fields_set:
            return Leaf("installation.region", Choice(frozenset(REGIONS)), spot=self.document.spot(()))
        spot = self.document.spot(("region",))
        word = Choice(frozenset({self.frame.region}))
        text = self.frame.region
        return Leaf("installation.region", word, origin=Origin.SEEN, known=True, text=text, spot=spot)

    def with_role(self, *roles: str) -> list[Part]:
        """The parts that act in one of the roles, in the order written."""
        wanted = frozenset(roles)
        return [part for part in self.parts.values() if not wanted.isdisjoint(part.form.roles)]

    def looked(self, kind: str) -> Leaf:
        """How completely a kind was looked for: one of `frame.LOOKED`; open where the file does not say."""
        if kind not in self.looked_for:
            spot = self.document.spot(("looked_for",))
            self.looked_for[kind] = Leaf(f"looked_for.{kind}", Choice(frozenset(LOOKED)), spot=spot)
        return self.looked_for[kind]
