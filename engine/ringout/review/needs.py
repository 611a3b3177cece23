"""What to find out next: the open leaf whose answer moves the gravest open verdicts most, per minute."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from ringout.case.case import Case
from ringout.case.form import Field, sheet
from ringout.case.frame import LOOKED
from ringout.inference.chain import Step
from ringout.inference.judge import Truth
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice
from ringout.quantity.telling import swings
from ringout.quantity.traced import domain_of, paths_of
from ringout.review.finding import ALIKE, DANGER, Finding
from ringout.review.words import part_name

WEIGHT = {1: 100.0, 2: 40.0, 3: 10.0, 4: 6.0, 5: 1.0}
"""What settling an open verdict of a class is worth: ours; one danger outweighs any two of the next class."""
LOOKING = 0.4
"""An answer to "have you looked for all of them?" helps less than the thing itself."""
SLOW = {"bare_hand": 1.0, "tool": 1.5, "instrument": 1.5, "licensed": 4.0}

REGION = "installation.region"


@dataclass(slots=True)
class Need:
    """One thing to find out: the question, what answers it takes, what it settles."""

    path: str
    leaf: Leaf | None
    ask: str
    words: tuple[str, ...] = ()
    dimension: str = ""
    where: str = "seen"
    minutes: int = 2
    access: str = "bare_hand"
    weight: float = 0.0
    explains: bool = False
    """Whether the answer bears on a complaint."""
    opens: list[Finding] = field(default_factory=list)

    @property
    def repeat(self) -> bool:
        """Whether it asks to read again what is in doubt."""
        return self.leaf is not None and self.leaf.read

    @property
    def settles(self) -> tuple[str, ...]:
        """Titles of what the answer would settle, gravest first."""
        return tuple(dict.fromkeys(each.title for each in self.opens))

    @property
    def cls(self) -> int:
        """Class of the gravest."""
        return min((each.cls for each in self.opens), default=5)


def next_needs(case: Case, made: Sequence[Finding]) -> list[Need]:
    """Needs for the open verdicts, the most telling first; every verdict stands under exactly one of them."""
    symptoms = {complaint.symptom for complaint in case.complaints.values()}
    needs: dict[str, Need] = {}
    opens = [(top, each) for top in made if top.open for each in _with_beneath(top)]  # beneath it all is open
    weighed: dict[Finding, dict[str, float]] = {}
    for _, finding in opens:
        telling = weighed[finding] = _weighed(case, finding, needs)
        worth = WEIGHT[finding.cls]
        for path, share in telling.items():
            needs[path].weight += worth * share
    best = {finding: _best(finding, telling, needs) for finding, telling in weighed.items()}
    chosen: dict[str, Need] = {}
    for head, finding in opens:
        # What follows from an open cause waits for the same answer.
        need = chosen[best[head]] = needs[best[head]]
        need.opens.append(finding)
    for need in chosen.values():
        need.explains = any(not symptoms.isdisjoint(each.explains) for each in need.opens)
    return sorted(chosen.values(), key=_order)


def _order(need: Need) -> tuple[object, ...]:
    """Dangers first, by class and risk; then what bears on a complaint; then the rest by class.

    Within a class what was read, and is in doubt, comes before what nobody looked at.
    """
    cls = need.cls
    danger = cls <= DANGER
    risk = need.opens[0].risk
    read = need.repeat and any(each.step.suggested for each in need.opens)
    return (
        not danger,
        (cls, not read, risk) if danger else (9, False, 9),
        not need.explains,
        cls,
        not read,
        risk,
        -round(need.weight, ALIKE),
        need.path,
    )


def _weighed(case: Case, finding: Finding, needs: dict[str, Need]) -> dict[str, float]:
    """How much the answer to each need tells about one verdict, per effort; needs not met before are added."""
    found: dict[str, float] = {}
    step = finding.step
    shares = influences(step, step.needs)
    for leaf in step.needs:
        need = needs.get(leaf.path) if leaf.doubt is None else None
        need = need or need_of(case, leaf)
        if need is None:
            continue
        # One repeat answers for all that the reading in doubt speaks of.
        need = needs.setdefault(need.path, need)
        telling = shares[leaf.path] / SLOW[need.access] / (1 + need.minutes / 10)
        if leaf.path.startswith("looked_for."):
            telling *= LOOKING
        found[need.path] = max(found.get(need.path, 0.0), telling)
    return found


def _best(finding: Finding, weighed: dict[str, float], needs: dict[str, Need]) -> str:
    """The path of the need under which a verdict stands; where nobody can answer, under its own reading.

    What a reading in doubt suggests waits for its repeat first.
    """
    paths = [path for path in weighed if not _asked(needs[path])] or list(weighed)
    if finding.step.suggested:
        paths = [path for path in paths if needs[path].repeat] or paths
    if len(paths) > 1:
        paths = _highest({path: weighed[path] for path in paths})
    if len(paths) > 1:
        paths = _highest({path: needs[path].weight for path in paths})
    if paths:
        return max(paths)
    path = f"confirm.{finding.rule.name}.{finding.about}"
    needs[path] = Need(path, None, finding.settle or finding.confirm, weight=WEIGHT[finding.cls])
    return path


def _highest(weights: Mapping[str, float]) -> list[str]:
    """The paths of the highest weight, and of those alike."""
    most = round(max(weights.values()), ALIKE)
    return [path for path, weight in weights.items() if round(weight, ALIKE) == most]


def influence(step: Step, leaf: Leaf) -> float:
    """How much of an open verdict hangs on a leaf, 0 to 1: how far it moves the tests that are open."""
    return influences(step, (leaf,))[leaf.path]


def influences(step: Step, leaves: Sequence[Leaf]) -> dict[str, float]:
    """The same of several leaves, by path."""
    of = {leaf.path: leaf for leaf in leaves}
    found = dict.fromkeys(of, 0.0)
    tests = (*step.given.tests, *step.when.tests, *step.unless.tests)
    sides = [side for test in tests if test.truth is Truth.OPEN for side in (test.left, test.right)]
    # A value that is held against several limits is moved once.
    for value in dict.fromkeys(side for side in sides if side is not None):
        domain = domain_of(value)
        if isinstance(domain, Choice):
            for path in of.keys() & paths_of(value):
                found[path] = max(found[path], 1.0 if isinstance(of[path].domain, Choice) else 0.5)
        elif domain.hi > domain.lo:
            for path, moved in swings(value, of.keys()).items():
                found[path] = max(found[path], min(1.0, moved / (domain.hi - domain.lo)))
    for path, share in found.items():
        # A leaf that is needed through a conclusion below decides whether the whole chain holds.
        if not share and any(of[path] in known.needs for known in step.binding.values()):
            found[path] = 0.8
    return found


def _with_beneath(finding: Finding) -> Iterator[Finding]:
    yield finding
    for each in finding.beneath:
        yield from _with_beneath(each)


def _asked(need: Need) -> bool:
    return need.leaf is not None and need.leaf.asked


def need_of(case: Case, leaf: Leaf) -> Need | None:
    """The question that asks for a leaf; None for a leaf that nobody can be asked for (tables, limits)."""
    if leaf.doubt is not None:
        return _again(case, leaf.doubt)
    name, _, key = leaf.path.rpartition(".")
    words = tuple(sorted(leaf.domain.options)) if isinstance(leaf.domain, Choice) else ()
    if name == "looked_for":
        return Need(leaf.path, leaf, f"Have you looked for every {key.replace('_', ' ')} there is?", LOOKED)
    if key == "fed_from":
        sources = " or ".join(part_name(case, each.split(".")[0]) for each in words)
        return Need(leaf.path, leaf, f"What feeds {part_name(case, name)}: {sources}?", words, minutes=5)
    if key == "battery" or key == "which_inverter":
        which = "battery" if key == "battery" else "inverter"
        return Need(leaf.path, leaf, f"Which {which} does {part_name(case, name)} hang on?", words, minutes=5)
    if key == "there":
        return Need(leaf.path, leaf, f"Is there really a {part_name(case, name)}?", words)
    if leaf.path == REGION:
        return Need(leaf.path, leaf, "In which country is it used, so that its wiring rules apply?", words, minutes=1)
    its = field_of(case, name, key)
    if its is None:
        return None
    ask = its.ask or f"What is the {key.replace('_', ' ')}?"
    about = part_name(case, name)
    if name in case.parts or name in case.hops or name in case.places:
        ask = f"{about}: {ask[0].lower()}{ask[1:]}" if name not in ("mains", "habits") else ask
    return Need(leaf.path, leaf, ask, its.options, its.dimension, its.where, its.minutes, its.access)


def _again(case: Case, doubt: Leaf) -> Need:
    """The repeat that a reading in doubt asks for."""
    name = doubt.path.rpartition(".")[2]
    reading = case.frame.readings[name]
    its = sheet("reading").fields[reading.what]
    at = part_name(case, reading.of) if reading.of else " ".join(reading.points) or name.replace("_", " ")
    ask = f"{at}: {doubt.text} was read and is in doubt; {its.ask}"
    return Need(doubt.path, doubt, ask, its.options, its.dimension, its.where, its.minutes, its.access)


def field_of(case: Case, name: str, key: str) -> Field | None:
    if name in case.parts:
        return case.parts[name].form.fields.get(key)
    if name in case.places:
        return sheet("place").fields.get(key)
    if name in case.hops:
        return sheet("run").fields.get(key)
    if name in ("mains", "habits", "surroundings", "installation"):
        return sheet(name).fields.get(key)
    return None
