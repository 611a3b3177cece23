"""Core and feeders of a wiring, and the nearest way back to a post."""

from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ringout.system.outward import layout, nearest, way_back


def graph(*edges: str) -> "nx.Graph[str]":
    made: nx.Graph[str] = nx.Graph()
    made.add_edges_from(edge.split("-") for edge in edges)
    return made


def test_what_hangs_by_one_conductor_is_a_feeder() -> None:
    wiring = graph("post-bars", "bars-pump", "bars-rail", "rail-lamp", "rail-fan")
    found = layout(wiring, ["post"], wiring)
    assert found.core == {"post"}
    assert found.inward == {"pump": "bars", "lamp": "rail", "fan": "rail", "rail": "bars", "bars": "post"}
    assert found.feeder("lamp") == ["lamp", "rail", "bars", "post"]
    assert "lamp" in found and "post" in found and "elsewhere" not in found


def test_far_ends_come_first() -> None:
    wiring = graph("post-a", "a-b", "b-c", "b-d")
    order = list(layout(wiring, ["post"], wiring).inward)
    assert order.index("c") < order.index("b") < order.index("a")
    assert order.index("d") < order.index("b")


def test_a_ring_and_the_way_to_it_are_core() -> None:
    wiring = graph("post-a", "a-b", "b-c", "c-a", "b-lamp")
    found = layout(wiring, ["post"], wiring)
    assert found.core == {"post", "a", "b", "c"}
    assert found.inward == {"lamp": "b"}


def test_links_between_posts_are_core_and_a_post_without_a_run_too() -> None:
    wiring = graph("b1-b2", "b2-b3", "b3-lamp")
    found = layout(wiring, ["b1", "b2", "b3", "b4"], wiring)
    assert found.core == {"b1", "b2", "b3", "b4"}
    assert found.feeder("lamp") == ["lamp", "b3"]


def test_what_is_joined_to_no_post_is_left_out() -> None:
    wiring = graph("post-lamp", "x-y")
    found = layout(wiring, ["post"], ["post", "lamp"])
    assert "x" not in found


EDGES = st.lists(st.tuples(st.integers(0, 12), st.integers(0, 12)).filter(lambda e: e[0] != e[1]), max_size=25)


@given(edges=EDGES)
def test_core_and_feeders_are_all_there_is_and_feeders_carry_no_ring(edges: list[tuple[int, int]]) -> None:
    wiring: nx.Graph[str] = nx.Graph()
    wiring.add_edges_from((str(a), str(b)) for a, b in edges)
    joined = nx.node_connected_component(wiring, "0") if "0" in wiring else set()
    found = layout(wiring, ["0"], joined)
    assert found.core | set(found.inward) == joined | {"0"}
    assert found.core.isdisjoint(found.inward)
    for terminal, nearer in found.inward.items():
        assert wiring.has_edge(terminal, nearer)
        assert found.feeder(terminal)[-1] in found.core
    # What was taken off: as many conductors as terminals, so no ring was among them.
    core = wiring.subgraph(found.core)
    assert wiring.subgraph(joined).number_of_edges() - core.number_of_edges() == len(found.inward)
    assert all(core.degree(terminal) >= 2 for terminal in found.core - {"0"})


@given(edges=EDGES, posts=st.sets(st.integers(0, 12), min_size=1, max_size=3))
def test_the_nearest_way_is_as_short_as_any(edges: list[tuple[int, int]], posts: set[int]) -> None:
    wiring: nx.Graph[str] = nx.Graph()
    wiring.add_edges_from((str(a), str(b)) for a, b in edges)
    there = {str(post) for post in posts} & set(wiring)
    back = nearest(wiring, [str(post) for post in posts])
    lengths = nx.multi_source_dijkstra_path_length(wiring, there, weight=None) if there else {}
    assert set(back) == set(lengths)
    for terminal in back:
        way = way_back(back, terminal)
        assert way[0] == terminal and way[-1] in there
        assert all(wiring.has_edge(a, b) for a, b in pairwise(way))
        assert len(way) - 1 == lengths[terminal]


def test_of_equally_short_ways_the_one_to_the_first_post_is_taken() -> None:
    for edges in (("b2-bars", "b1-bars"), ("b1-bars", "b2-bars")):
        assert way_back(nearest(graph(*edges), ["b2", "b1"]), "bars") == ["bars", "b1"]


def test_there_is_no_way_back_from_what_is_not_joined() -> None:
    with pytest.raises(KeyError):
        way_back(nearest(graph("post-a", "x-y"), ["post"]), "x")
