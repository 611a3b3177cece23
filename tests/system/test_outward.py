"""The wiring seen from the posts of a bank outward: nearest ways, core and feeders."""

import random

import networkx as nx
import pytest

from ringout.system.outward import layout, nearest, way_back


def wired(*edges: str) -> "nx.Graph[str]":
    """A graph from edges such as "b1+ main"."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_edges_from(edge.split() for edge in edges)
    return graph


TREE = wired("b1+ main", "main bars", "bars inv", "bars pump", "pump tail")
RING = wired("b1+ x", "x y", "y b2+", "b1+ b2+", "y lamp")


def test_a_terminal_leads_to_its_nearest_post() -> None:
    back = nearest(TREE, ["b1+"])
    assert way_back(back, "tail") == ["tail", "pump", "bars", "main", "b1+"]
    assert way_back(back, "b1+") == ["b1+"]


def test_of_two_posts_as_near_the_first_by_name_is_taken() -> None:
    graph = wired("b1+ mid", "b2+ mid", "mid load")
    for posts in (["b1+", "b2+"], ["b2+", "b1+"]):
        assert way_back(nearest(graph, posts), "load") == ["load", "mid", "b1+"]


def test_what_cannot_be_reached_has_no_way() -> None:
    back = nearest(wired("b1+ a", "c d"), ["b1+", "b9+"])
    assert set(back) == {"b1+", "a"}
    with pytest.raises(KeyError):
        way_back(back, "d")


def test_what_hangs_on_by_one_conductor_is_a_feeder() -> None:
    found = layout(TREE, ["b1+"], TREE)
    assert found.core == {"b1+"}
    assert found.feeder("tail") == ["tail", "pump", "bars", "main", "b1+"]
    assert "inv" in found and "b1+" in found and "elsewhere" not in found


def test_a_feeder_is_taken_off_from_its_far_end() -> None:
    order = list(layout(TREE, ["b1+"], TREE).inward)
    assert order.index("tail") < order.index("pump") < order.index("bars") < order.index("main")


def test_a_ring_stays_in_the_core_and_so_do_posts_that_hang_on_by_one_conductor() -> None:
    found = layout(RING, ["b1+", "b2+"], RING)
    assert found.core == {"b1+", "b2+", "x", "y"}
    assert found.inward == {"lamp": "y"}
    apart = wired("b1+ b2+")
    assert layout(apart, ["b1+", "b2+", "b1-"], apart).core == {"b1+", "b2+", "b1-"}


@pytest.mark.parametrize("seed", range(20))
def test_against_the_graph_library(seed: int) -> None:
    graph = nx.gnm_random_graph(14, 16, seed=seed)
    graph = nx.relabel_nodes(graph, {n: f"t{n:02}" for n in graph})
    posts = random.Random(seed).sample(sorted(graph), 3)
    joined = set().union(*(nx.node_connected_component(graph, post) for post in posts))
    far = nx.multi_source_dijkstra_path_length(graph, set(posts), weight=lambda a, b, edge: 1)
    back = nearest(graph, posts)
    assert {terminal: len(way_back(back, terminal)) - 1 for terminal in back} == far
    found = layout(graph, posts, joined)
    assert found.core | set(found.inward) == joined
    assert not found.core & set(found.inward)
    # With a ring tied to each post, so that no post is a dead end, the core is what has none left.
    bound = nx.Graph(graph.subgraph(joined))
    bound.add_edges_from((post, other) for post in posts for other in (f"{post}'", f"{post}''"))
    bound.add_edges_from((f"{post}'", f"{post}''") for post in posts)
    assert found.core == set(nx.k_core(bound, 2)) & joined
