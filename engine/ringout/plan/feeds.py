"""AC lines rewritten: the feed of a consumer taken out of its line, the rest kept as it was written."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from ringout.case.case import Case, Feed
from ringout.case.lines import read_line
from ringout.case.wiring import End, ac_line
from ringout.plan.written import LineText, Unfit, replace_lines


def feed_of(case: Case, consumer: str) -> Feed:
    """The feed of a consumer, named as a part or as an input (`co.shore`). Unfit where it is not one."""
    found = [feed for feed in case.feeds if consumer in (feed.to, feed.to.split(".")[0])]
    if len(found) != 1:
        several = f"{consumer} has several feeds: {', '.join(feed.to for feed in found)}"
        raise Unfit(several if found else f"nothing is written that feeds {consumer}")
    return found[0]


def without(text: str, case: Case, fed: Collection[str]) -> str:
    """The text of a case without the feeds to some inputs (`charger.ac`, `co.shore`)."""
    new: dict[int, list[LineText]] = {}
    for number, raw in enumerate(case.frame.ac):
        line = read_line(case.document, ("ac", number), raw, "feed", [])
        assert line is not None  # the case was read, so each of its lines can be
        first, rest = ac_line(line.text)
        if not any(_is_fed(case, end, fed) for stage in rest for end in stage):
            continue
        stretches: list[LineText] = list(_stretches(case, first, rest, fed))
        if isinstance(raw, dict):
            stretches = [raw | {"feed": stretch} for stretch in stretches]
        new[number] = stretches
    return replace_lines(text, "ac", new)


def _is_fed(case: Case, end: End, fed: Collection[str]) -> bool:
    """Whether an end of a line is one of the inputs."""
    default = case.parts[end.part].form.port("ac_takes", "ac_through")
    return f"{end.part}.{end.port or default}" in fed


def _stretches(case: Case, first: list[End], rest: list[list[End]], fed: Collection[str]) -> Iterator[str]:
    stages = [" | ".join(map(str, first))]
    for stage in rest:
        kept = [str(end) for end in stage if not _is_fed(case, end, fed)]
        if kept:
            stages.append(", ".join(kept))
            continue
        if len(stages) > 1:
            yield " > ".join(stages)
        stages = [", ".join(map(str, stage))]
    if len(stages) > 1:
        yield " > ".join(stages)
