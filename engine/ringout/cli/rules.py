"""`ringout rules`: the knowledge to read and to search; its faults; what a change of it does."""

from __future__ import annotations

import argparse
import sys
import textwrap
from collections.abc import Iterable, Sequence
from contextlib import nullcontext
from pathlib import Path

from ringout.rulebase.load import rulebase
from ringout.shipped import cases_root, knowledge_in
from ringout.text.problem import Problem, Spot, Unusable, did_you_mean

WIDTH = 80


def run(args: argparse.Namespace) -> int:
    """Status 0 where there is something to read or nothing to mend, 1 for complaints or effects, 2 for no use."""
    try:
        if args.effect:
            return _effect(Path(args.effect), _root(args.rules), _cases(args.cases))
        root = _root(args.rules)
        with knowledge_in(root) if root is not None else nullcontext():
            return _lint(_cases(args.cases)) if args.lint else _show(args.words)
    except Unusable as fault:
        print(fault, file=sys.stderr)
        return 2


def _root(named: str | None) -> Path | None:
    if named is None:
        return None
    root = Path(named)
    if not (root / "facts.yaml").is_file():
        found = "no facts.yaml in it" if root.is_dir() else "no such folder"
        raise Unusable([Problem(Spot(named, 1, 1), "", "a folder of rules", found)])
    return root


def _cases(folders: Iterable[str]) -> list[Path]:
    """The case files of more folders. Raises Unusable for a folder without any."""
    found: list[Path] = []
    for folder in folders:
        here = sorted(Path(folder).glob("*.yaml"))
        if not here:
            raise Unusable([Problem(Spot(folder, 1, 1), "", "a folder of case files", "none in it")])
        found += here
    return found


def _show(words: Sequence[str]) -> int:
    from ringout.report.rules import listing, matching, page

    rules = rulebase()
    named = [rule for rule in rules if [rule.name] == list(words)]
    if named:
        print(page(named[0], rules), end="")
        return 0
    found = matching(rules, words)
    if found:
        print(listing(found), end="")
        return 0
    said = " ".join(words)
    hint = did_you_mean(said, [rule.name for rule in rules])
    line = f"ringout rules: expected the name of a rule or words of one, found '{said}'"
    print(line + (f"; {hint}" if hint else ""), file=sys.stderr)
    return 2


def _lint(cases: Sequence[Path]) -> int:
    from ringout.lint.lint import CHECKS, lint

    base, complaints = lint(cases)
    examples = sum(len(written.rule.examples) for written in base.rules.values())
    for name, found in complaints.items():
        if found:
            print(f"{CHECKS[name][0].upper()} ({len(found)})")
            print("\n".join(map(str, found)) + "\n")
    count = sum(map(len, complaints.values()))
    over = f"{len(base.rules)} rules, {examples} examples, {len(base.reviews)} cases"
    print(f"{over}: " + (f"{count} to mend" if count > 1 else "1 to mend" if count else "nothing to mend"))
    return 1 if count else 0


def _effect(old: Path, new: Path | None, more: Sequence[Path]) -> int:
    from ringout.lint.effect import effect

    made = effect(old, [*sorted(cases_root().glob("*.yaml")), *more], new)
    after = f"rules {made.after.digest}" + (f" ({new})" if new is not None else "")
    print(f"Before: rules {made.before.digest} ({old})\nAfter:  {after}")
    for word, names in (
        ("new", made.after.rules - made.before.rules),
        ("gone", made.before.rules - made.after.rules),
    ):
        if names:
            _print(f"Rules {word}: {', '.join(sorted(names))}")
    lists = {
        "ADDED: wrong only by the new rules": list(made.of("new", "now_known")),
        "REMOVED: wrong only by the old rules": list(made.of("gone", "unsettled")),
        "MOVED: wrong by both, in another class": list(made.of("changed")),
        "OPENED: not known by the new rules, settled or not asked by the old": list(made.of("opened")),
        "SETTLED: not known by the old rules, right or not asked by the new": list(made.settled()),
    }
    for heading, changes in lists.items():
        if changes:
            print(f"\n{heading} ({len(changes)})")
        for path, each in changes:
            was, now = each.before, each.after
            _print(f"{path.name}: {each.title} ({each.about})", "  ", "    ")
            steps = f"{_standing(was.words, was.cls)} -> {_standing(now.words, now.cls)}"
            _print(f"{each.identity[0]}: {steps}", "    ", "      ")
    for path, fault in made.unread:
        print(f"\nNOT COMPARED: {path.name} can be read with one of the two only")
        _print(str(fault.problems[0]), "  ", "    ")
    unread = len(list(made.unread))
    counts = [f"{len(each)} {heading.partition(':')[0].lower()}" for heading, each in lists.items()]
    print()
    _print(f"{', '.join(counts)}, over {len(made.cases) - unread} cases.")
    return 1 if any(lists.values()) or unread else 0


def _standing(words: str, cls: int | None) -> str:
    return f"{words}, class {cls}" if cls is not None else words


def _print(words: str, first: str = "", hang: str = "") -> None:
    wrap = textwrap.TextWrapper(WIDTH, initial_indent=first, subsequent_indent=hang, break_on_hyphens=False)
    print(wrap.fill(words))
