"""The wiring seen from the posts of a bank outward: the nearest way from each terminal, and the feeders.

A feeder is what hangs on the rest by one conductor only. Taken off from their far ends, one conductor after
the other, feeders leave the *core*: the bank with its links, and whatever is wired as a ring. Through a
feeder all current flows one way, so it is added up in one pass; only the core must be solved as a mesh. All
of it is found in one walk over the wiring.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import networkx as nx


@dataclass(frozen=True, slots=True)
class Layout:
    """The terminals joined to a bank, as core and feeders.

    `inward` leads from each terminal of a feeder to the next one nearer the core, far ends first.
    """

    core: frozenset[str]
    inward: Mapping[str, str]

    def __contains__(self, terminal: str) -> bool:
        return terminal in self.core or terminal in self.inward

    def feeder(self, terminal: str) -> list[str]:
        """The terminals from one to the core, both included."""
        found = [terminal]
        while found[-1] in self.inward:
            found.append(self.inward[found[-1]])
        return found


def layout(graph: nx.Graph[str], posts: Iterable[str], joined: Iterable[str]) -> Layout:
    """Core and feeders of the terminals `joined` to a bank; its `posts` stay in the core, wired or not."""
    keep = set(posts)
    near = {terminal: set(graph.neighbors(terminal)) for terminal in sorted(joined)}
    ends = [terminal for terminal, others in near.items() if len(others) == 1 and terminal not in keep]
    inward: dict[str, str] = {}
    for terminal in ends:  # grows while it is walked
        (further,) = near.pop(terminal)
        inward[terminal] = further
        near[further].discard(terminal)
        if len(near[further]) == 1 and further not in keep:
            ends.append(further)
    return Layout(frozenset(near) | keep, inward)


def nearest(graph: nx.Graph[str], posts: Iterable[str]) -> dict[str, str]:
    """For each terminal that can be reached from posts, the next one on a shortest way back to one of them.

    A post leads to itself. Of equally short ways the one to the post first in order of name is taken.
    """
    back = {post: post for post in sorted(posts) if post in graph}
    queue = deque(back)
    while queue:
        here = queue.popleft()
        for there in sorted(graph.neighbors(here)):
            if there not in back:
                back[there] = here
                queue.append(there)
    return back


def way_back(back: Mapping[str, str], terminal: str) -> list[str]:
    """The terminals from one to its post, both included. KeyError where none can be reached."""
    found = [terminal]
    while back[found[-1]] != found[-1]:
        found.append(back[found[-1]])
    return found
