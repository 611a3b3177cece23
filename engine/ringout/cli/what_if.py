"""What `ringout why --what-if` prints: only what changes when some facts are other ones."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Mapping, Sequence

from ringout.inference.chain import Said, Verdict
from ringout.plan.compare import Identity, Standing, identity, standings
from ringout.review.proof import called
from ringout.review.review import Review
from ringout.review.words import part_name, value_shown

WIDTH = 80
LISTS: Mapping[str, str] = {
    "gained": "WRONG THEN, and not now",
    "lost": "WRONG NOW, and not then",
    "opened": "NOT KNOWN THEN",
    "settled": "KNOWN THEN, and not now",
    "other": "ELSE",
}
"""The lists of changes in the order in which a person needs them, with their headings."""
NOTHING = "No verdict changes."
SUPPOSED = "This is what would follow. Nothing of it was found, and the file stays as it is."


def changes(before: Review, after: Review, settings: Mapping[str, str], asked: Sequence[Said]) -> Iterator[str]:
    """The page: the settings, numbers of the findings asked about that moved, and verdicts that moved.

    Of verdicts that moved without being wrong on either side only those asked about are listed, or all where
    nothing was asked about in particular.
    """
    yield from _wrap("What if: " + "; ".join(f"{path} = {value}" for path, value in settings.items()), hang=9)
    for said in asked:
        yield from _asked(before, after, said)
    mine = {identity(before.case, said, {}) for said in asked}
    words = _titles(before) | _titles(after)
    were, are = standings(before, {}), standings(after, {})
    lists: dict[str, list[str]] = {name: [] for name in LISTS}
    for key in sorted(were.keys() | are.keys()):
        one, other = were.get(key, Standing(None)), are.get(key, Standing(None))
        name = place(one.verdict, other.verdict)
        if name in ("gained", "lost") or (name and (not asked or key in mine)):
            lists[name].append(f"{words[key]}: {one.words} now, {other.words} then [{key[0]}]")
    for name, rows in lists.items():
        if rows:
            yield from ("", f"{LISTS[name]} ({len(rows)})")
            for row in rows:
                yield from _wrap(row, first="  - ", hang=4)
    if not any(lists.values()):
        yield from ("", NOTHING)
    yield ""
    yield from _wrap(SUPPOSED)


def place(before: Verdict | None, after: Verdict | None) -> str:
    """The list that a verdict belongs to, "" for one that did not move."""
    if before is after:
        return ""
    if Verdict.WRONG in (before, after):
        return "gained" if after is Verdict.WRONG else "lost"
    if Verdict.NOT_KNOWN in (before, after):
        return "opened" if after is Verdict.NOT_KNOWN else "settled"
    return "other"


def _titles(review: Review) -> dict[Identity, str]:
    """Each verdict in words: the title of its rule and what it is about."""
    return {identity(review.case, said, {}): _title(review, said) for said in review.chained.said}


def _title(review: Review, said: Said) -> str:
    about = ", ".join(part_name(review.case, name) for name in said.anchor.keys.values())
    return f"{said.rule.title} ({about})"


def _asked(before: Review, after: Review, said: Said) -> Iterator[str]:
    """One finding asked about: its verdict on both sides, and its numbers that moved."""
    key = identity(before.case, said, {})
    then = next((each for each in after.chained.said if identity(after.case, each, {}) == key), None)
    verdict = then.verdict.value if then is not None else "not in the case"
    how = f"stays {verdict}" if verdict == said.verdict.value else f"{said.verdict.value} now, {verdict} then"
    yield ""
    yield from _wrap(f"{_title(before, said)}: {how}")
    now_, then_ = _numbers(before, said), _numbers(after, then)
    for name in dict.fromkeys([*now_, *then_]):
        one, other = now_.get(name, "not looked at"), then_.get(name, "not looked at")
        if one != other:
            yield from _wrap(f"{name}: {one} now, {other} then", first="  - ", hang=4)


def _numbers(review: Review, said: Said | None) -> dict[str, str]:
    """What the deciding step compared, by name: each value, and each limit."""
    if said is None or said.step is None:
        return {}
    step, found = said.step, {}
    for test in (*step.given.tests, *step.when.tests, *step.unless.tests):
        for value in (test.left, test.right):
            if value is not None:
                found[called(value, review.case)] = value_shown(value)
    return found


def _wrap(words: str, first: str = "", hang: int = 0) -> list[str]:
    return textwrap.wrap(
        words, WIDTH, initial_indent=first, subsequent_indent=" " * hang, break_on_hyphens=False
    )
