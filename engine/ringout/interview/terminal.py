"""The interview at a terminal: plain lines in, plain lines out, 80 columns, nothing that moves or has colour.

The file on disk is whole after every answer, so the sitting may end at any time and go on later.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from ringout.case.case import Case
from ringout.interview.look import Look, news
from ringout.interview.machine import Again, State, answer, next_question, remaining
from ringout.interview.questions import Question
from ringout.interview.save import new_case
from ringout.interview.stop import TIME, drill
from ringout.interview.take import plain
from ringout.text.document import read
from ringout.text.edit import write_whole

WIDTH = 79
STOP_WORDS = ("stop", "quit", "exit", "end")
HELP = (
    "Answer in words. Always allowed: don't know, later, stop.",
    "Not the owner's word but yours? Add (seen), (label) or (measured) to the answer.",
    "Nobody needs to open anything for this. Mains wiring is for licensed people.",
)


def interview(
    path: Path,
    look: Callable[[Case], Look],
    *,
    minutes: int | None = None,
    ask: Callable[[str], str] = input,
    say: Callable[[str], None] = print,
    now: Callable[[], datetime] = datetime.now,
) -> State:
    """Ask about the case in a file until nothing is left to ask or somebody stops; a new file is begun.

    `look` reviews a case; `minutes` is how long finding out may take in all. Returns the last state, with
    `stopped` where danger ended it. Raises Unusable where the file cannot be used, OSError where not written.
    """
    if not path.exists():
        write_whole(path, new_case(path.stem.replace("-", " ").replace("_", " ")))
    return _Sitting(path, look, ask, say, now).run(State(str(path), read(path).text, left=minutes))


class _Ended(Exception):
    """Somebody ended the sitting."""


@dataclass(slots=True)
class _Sitting:
    path: Path
    look: Callable[[Case], Look]
    ask: Callable[[str], str]
    say: Callable[[str], None]
    now: Callable[[], datetime]
    count: int = 0
    screen_due: bool = False

    def run(self, state: State) -> State:
        self.tell(*HELP)
        look = self.look(state.case)
        try:
            while question := next_question(state, look.needs):
                if self.screen_due and not question.first:
                    self.screen(look)
                self.count += 1
                self.show(question, self.about(state, question, look))
                state = self.one(state, question)
                before, look = look, self.look(state.case)
                self.tell(*news(before, look))
        except (_Ended, KeyboardInterrupt):
            self.say("")
        if state.stopped is None:
            self.close(state, look)
        return state

    def one(self, state: State, question: Question) -> State:
        """The state after one question, asked until its answer can be taken."""
        while True:
            said = self.hear(question)
            # Somebody may have edited the file meanwhile: the answer goes onto what stands there now.
            current = replace(state, text=read(self.path).text)
            made = answer(current, question, said, self.now().strftime(TIME))
            if isinstance(made, Again):
                self.tell(f"Not taken: {made}.")
                continue
            if made.stopped:
                # First what to do, then the writing: a full disk must not keep the drill from being said.
                self.say("")
                self.tell(*drill(made.stopped, made.case.frame.region))
            if made.text != current.text:
                write_whole(self.path, made.text)
            self.screen_due = self.screen_due or (question.takes != "confirm" and question.first)
            return made

    def hear(self, question: Question) -> str:
        """What is answered. Who leaves while danger is asked about has not denied it."""
        try:
            said = self.ask("> ")
            if plain(said.strip()) not in STOP_WORDS:
                return said
        except (EOFError, KeyboardInterrupt):
            pass
        if question.takes == "confirm":
            return "don't know"
        raise _Ended

    def about(self, state: State, question: Question, look: Look) -> int:
        """How many questions there are about, up to the first screen or from there to the end."""
        left = [each for each in remaining(state, look.needs) if each.first == question.first]
        return self.count + len([each for each in left if each.id != question.id])

    def show(self, question: Question, about: int) -> None:
        self.say("")
        self.tell(f"Question {self.count} of about {about}", question.ask, f"Why: {question.why}.")
        if question.takes == "symptom":
            self.tell(*(f"{number}. {words}" for number, words in enumerate(question.words, 1)))
            self.tell("Answer: its number.")
        elif question.words:
            self.tell("Answer: " + ", ".join(word.replace("_", " ") for word in question.words))
        elif question.shows:
            self.tell(f"Answer: {question.shows}")
        if question.minutes > 2:
            self.tell(f"Takes about {question.minutes} minutes.")

    def screen(self, look: Look) -> None:
        self.screen_due = False
        if look.screen:
            self.say("")
            self.say(look.screen)

    def close(self, state: State, look: Look) -> None:
        if self.screen_due:
            self.screen(look)
        self.say("")
        still = len(remaining(replace(state, later=frozenset(), left=None), look.needs))
        self.tell(f"Kept in {self.path}. Still to ask: {still}. The same command goes on from here.")

    def tell(self, *lines: str) -> None:
        for line in lines:
            self.say("\n".join(textwrap.wrap(line, WIDTH, subsequent_indent="   ", break_on_hyphens=False)))
