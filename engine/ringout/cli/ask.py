"""`ringout ask`: the interview in the terminal, for a new case or going on with one."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from ringout.case.case import Case
from ringout.interview.look import Look, look
from ringout.interview.terminal import interview
from ringout.report.text import text
from ringout.review.review import review
from ringout.text.problem import Unusable


def run(args: argparse.Namespace) -> int:
    """Status 0 at the end of a sitting, 1 where a danger ended it, 2 where the file cannot be used."""

    def at(case: Case) -> Look:
        made = review(case)
        return look(made, text(made))

    try:
        state = interview(Path(args.case), at, minutes=args.minutes)
    except Unusable as fault:
        print(fault, file=sys.stderr)
        return 2
    except OSError as fault:
        print(f"{args.case}: cannot be read or written: {fault.strerror}", file=sys.stderr)
        return 2
    return 1 if state.stopped else 0
