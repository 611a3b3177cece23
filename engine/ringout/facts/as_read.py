"""The case as it was read: where a reading speaks of a field of a part, what becomes of what was stated there.

A reading that was repeated outranks a label or a statement. One that was not stands in only where nobody stated
anything; where it contradicts what was stated it leaves that open, and what the statement shows to be wrong stays
wrong. A test of a protective measure that came out badly counts as soon as it was read.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from ringout.case.case import Case, Part, Taken
from ringout.case.form import SpeaksOf, sheet
from ringout.case.frame import Reading
from ringout.facts.trust import as_found, fits, hull, trusted
from ringout.quantity.leaf import Leaf
from ringout.quantity.span import Choice, Domain, Span


def as_read(case: Case, apart: frozenset[str] = frozenset()) -> Case:
    """The case with its readings as found, as far as they can be trusted, and its parts as these show them.

    `apart` names the readings that do not add up with the others of their set.
    """
    if not case.readings:
        return case
    readings = trusted(as_found(case), apart)
    parts = dict(case.parts)
    # A repeated reading is heard first, so that one beside it that contradicts it is seen as such.
    for taken in sorted(readings, key=lambda each: (not each.repeated, each.name)):
        for part, says, value in spoken(case, taken):
            if {part, f"{part}.{says.field}"} & case.since:
                continue
            own = parts[part].leaf(says.field)
            stated = _by_power(case, parts[part], says) if not own.known else own
            heard = _heard(stated, parts[part], taken, says, value)
            leaf = own if heard is stated else heard
            parts[part] = replace(parts[part], leaves={**parts[part].leaves, says.field: leaf})
    return replace(case, parts=parts, readings=readings)


def spoken(case: Case, taken: Taken) -> Iterator[tuple[str, SpeaksOf, Leaf]]:
    """The fields of parts that a reading speaks of: the part, how it speaks, and the reading in the field's terms."""
    part = case.parts.get(taken.reading.of)
    kind = sheet("reading").fields[taken.reading.what]
    for says in kind.speaks_of if part is not None else ():
        assert part is not None
        if says.field not in part.form.fields or not part.acts_as(*says.of) or not _applies(says, part, taken.reading):
            continue
        read = taken.value.doubt or taken.value
        domain = _in_terms(says, part, read.domain, kind.options)
        if domain is not None:
            yield part.name, says, replace(read, domain=domain)


def _applies(says: SpeaksOf, part: Part, reading: Reading) -> bool:
    """Whether a reading was taken in a state and at points in which it speaks of the field of one single part."""
    if part.leaf("count").domain != Span(1.0, 1.0):
        return False
    name = part.name.replace("_", " ").casefold()
    state = [each.strip() for each in reading.state.replace("_", " ").casefold().split(",")]
    state += [f"{each.replace('_', ' ').casefold()} running" for each in reading.loads.replace(",", " ").split()]
    points = " ".join(reading.points).casefold().split()
    in_state = not says.state or any(each.replace("{part}", name) in state for each in says.state)
    return in_state and (not says.points or not set(says.points).isdisjoint(points))


def _in_terms(says: SpeaksOf, part: Part, domain: Domain, readable: Sequence[str]) -> Domain | None:
    """What was read as the field would state it; None where it is nothing that the field can be.

    `readable` are the words that such a reading can find at all.
    """
    field = part.form.fields[says.field]
    if isinstance(domain, Span):
        bounds = field.bounds
        return domain if bounds is not None and bounds.lo <= domain.lo and domain.hi <= bounds.hi else None
    words = dict(says.words) or {word: word for word in field.options}
    heard = {words.get(word, "") for word in domain.options}
    # An outlet whose pattern fixes no polarity has none that could be read.
    beyond = part.word(says.field) not in (None, *readable) if not says.words else False
    return None if "" in heard or beyond else Choice(frozenset(heard))


def _by_power(case: Case, part: Part, says: SpeaksOf) -> Leaf:
    """What a field of amperes is by the watts that are stated, at the volts of a battery from flat to charging."""
    own = part.leaf(says.field)
    watts, volts = part.leaf(says.power) if says.power in part.form.fields else own, case.dc_volts.domain
    if watts is own or not watts.known or not isinstance(watts.domain, Span) or not isinstance(volts, Span):
        return own
    amps = Span(watts.domain.lo / (1.25 * volts.hi), watts.domain.hi / (0.8 * volts.lo))
    return replace(watts, path=own.path, domain=amps, dimension=own.dimension)


def _heard(stated: Leaf, part: Part, taken: Taken, says: SpeaksOf, value: Leaf) -> Leaf:
    """The leaf of a field after a reading that speaks of it; `value` is the reading in the field's terms."""
    told = stated.word if stated.word is not None else stated.domain
    stands_in = replace(value, stated=stated)
    path = f"{part.name}.{says.field}.as_read"
    worse = _worse(says.worse, value.domain, told)
    if worse and taken.value.known:
        return stands_in
    if says.worse_only and not worse:
        if stated.told or not isinstance(value.domain, Span) or not isinstance(told, Span):
            return stated
        return replace(stands_in, path=path, domain=Span(value.domain.lo, told.hi))  # it is that bad at least
    if taken.repeated and not stated.read:
        return stands_in
    agrees = fits(replace(taken, value=value), told)
    if stated.known and (agrees or (says.worse and not worse)):
        return stated
    if taken.value.known and not stated.known and (stated.word is None or agrees):
        # What nobody stated of a bank its batteries state: a single reading of it is no better.
        return stated if part.acts_as("bank") else stands_in
    if not stated.known:
        return replace(stated, path=path, stated=stated, doubt=value)
    return replace(stated, path=path, domain=hull([told, value.domain]), word=told, stated=stated, doubt=value)


def _worse(worse: str, read: Domain, told: Domain) -> bool:
    """Whether a test of a protective measure came out worse than what was stated."""
    if isinstance(read, Span) and isinstance(told, Span):
        return worse == "more" and read.hi > told.hi
    return isinstance(read, Choice) and read.options == {worse} and read != told
