"""The commands and their options. Exit status: 0 nothing to report, 1 findings, 2 unusable input."""

from __future__ import annotations

import argparse
import gc
import os
import sys
from collections.abc import Sequence
from typing import NoReturn

from ringout import __version__

TOP = """\
ringout reviews off-grid electrical installations: caravans, motorhomes, boats, cabins.
It advises; local wiring rules and licensed people decide.
"""


READER_LEFT = 141
"""What shells say of a program whose reader left early; not 0, which would mean that nothing is wrong."""


class Parser(argparse.ArgumentParser):
    """Says what is wrong with a command in one line."""

    def error(self, message: str) -> NoReturn:
        """End with status 2."""
        self.exit(2, f"{self.prog}: {message}; see {self.prog} --help\n")


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command. `argv` without the program's name; the command line's own by default."""
    args = parser().parse_args(argv)
    searching = gc.isenabled()
    if args.command != "ask":
        # It runs once and keeps nearly all it makes: searching that for rings of waste takes a sixth of the time.
        gc.disable()
    try:
        status = _run(args)
        sys.stdout.flush()
        return status
    except BrokenPipeError:
        # The reader has left. Python writes once more when it ends, and would complain: now to nowhere.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return READER_LEFT
    except KeyboardInterrupt:
        print(file=sys.stderr)
        return 2
    finally:
        if searching:
            gc.enable()


def _run(args: argparse.Namespace) -> int:
    if args.command == "check":
        from ringout.cli import check

        return check.run(args)
    if args.command == "review":
        from ringout.cli import review

        return review.run(args)
    if args.command == "why":
        from ringout.cli import why

        return why.run(args)
    if args.command == "compare":
        from ringout.cli import compare

        return compare.run(args)
    if args.command == "rules":
        from ringout.cli import rules

        return rules.run(args)
    from ringout.cli import ask

    return ask.run(args)


def parser() -> argparse.ArgumentParser:
    """The command line as it is documented."""
    top = Parser(prog="ringout", description=TOP, formatter_class=argparse.RawDescriptionHelpFormatter)
    top.add_argument("--version", action="version", version=f"ringout {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True)

    ask = commands.add_parser("ask", help="the interview: a new case, or going on with one")
    ask.add_argument("case", metavar="CASE", help="the case file; made anew if there is none")
    ask.add_argument(
        "--minutes", type=int, default=None, metavar="N", help="stop asking after about N minutes"
    )

    check = commands.add_parser("check", help="is the file usable: every mistake with its line and column")
    check.add_argument("case", metavar="CASE", nargs="?", help="the case file")
    check.add_argument("--kinds", action="store_true", help="list the kinds of part a case may hold")
    check.add_argument("--kind", metavar="KIND", help="list the fields of one kind of part")
    check.add_argument("--schema", action="store_true", help="print the JSON Schema of case files")

    review = commands.add_parser("review", help="ranked findings, what is not known, what is right")
    review.add_argument("case", metavar="CASE", help="the case file")
    review.add_argument(
        "--format",
        choices=("text", "json", "html"),
        default="text",
        help="text for people, json for programs, html as one page to read, print or send",
    )
    review.add_argument(
        "--engine",
        choices=("durable", "plain"),
        default="",
        help="the matching engine (default: durable if it can be had)",
    )
    review.add_argument(
        "--least", type=int, choices=(1, 2, 3, 4, 5), default=5, metavar="CLASS",
        help="end with status 1 only for findings of this class or graver (1 to 5; default 5)",
    )  # fmt: skip

    why = commands.add_parser("why", help="the proof of a verdict, or what would settle it")
    why.add_argument("case", metavar="CASE", help="the case file")
    why.add_argument(
        "rule", metavar="RULE", nargs="?", help="the rule's name; without it, all verdicts"
    )
    why.add_argument("about", metavar="PART", nargs="?", help="the part, where the rule speaks of several")
    why.add_argument(
        "--what-if", action="append", default=[], metavar="PATH=VALUE",
        help="print only what changes if this fact of the case were so (house.chemistry=LFP); may be repeated",
    )  # fmt: skip
    why.add_argument("--engine", choices=("durable", "plain"), default="", help="the matching engine")

    compare = commands.add_parser("compare", help="what became of each finding between two cases")
    compare.add_argument("before", metavar="A", help="the case file of the earlier stage")
    compare.add_argument(
        "after", metavar="B", nargs="?", help="the later one; without it, A with what is set under 'changed'"
    )
    compare.add_argument(
        "--format", choices=("text", "json"), default="text", help="text for people, json for programs"
    )
    compare.add_argument("--engine", choices=("durable", "plain"), default="", help="the matching engine")
    compare.add_argument(
        "--least", type=int, choices=(1, 2, 3, 4, 5), default=5, metavar="CLASS",
        help="end with status 1 only where something of this class or graver is new (1 to 5; default 5)",
    )  # fmt: skip

    rules = commands.add_parser("rules", help="the knowledge to read and to search; its faults; what a change does")
    rules.add_argument("words", metavar="NAME", nargs="*", help="a rule's name, or words to look for; without, all")
    rules.add_argument("--rules", metavar="DIR", help="another folder of rules than the one shipped")
    rules.add_argument(
        "--cases", metavar="DIR", action="append", default=[], help="more cases to try them on, beside the samples"
    )
    what = rules.add_mutually_exclusive_group()
    what.add_argument("--lint", action="store_true", help="every fault of the rule base; status 1 if there is one")
    what.add_argument(
        "--effect", metavar="OLD", help="which findings change against an older folder of rules; 1 if any does"
    )
    return top
