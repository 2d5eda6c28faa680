"""The prerequisite graph against networkx: circles, order, closure, and the arrows worth drawing."""

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from curriculum.rules.syllabus import arrows_worth_drawing, find_circle, needed_by, opens, teaching_order

FIGURES = [f"figure {number}" for number in range(12)]


@st.composite
def syllabi(draw, circles):
    """A syllabus over up to twelve figures; without circles a figure needs only some listed before it."""
    figures = draw(st.permutations(FIGURES))[: draw(st.integers(0, len(FIGURES)))]
    needs = {}
    for place, figure in enumerate(figures):
        choice = figures if circles else figures[:place]
        needs[figure] = frozenset(draw(st.lists(st.sampled_from(choice), max_size=4)) if choice else ())
    return {figure: needs[figure] for figure in draw(st.permutations(list(needs)))}


def graph_of(needs):
    graph = nx.DiGraph()
    graph.add_nodes_from(needs)
    graph.add_edges_from((need, figure) for figure, wanted in needs.items() for need in wanted)
    return graph


@settings(deadline=None)
@given(syllabi(circles=True))
def test_a_circle_is_found_exactly_where_networkx_finds_one(needs):
    graph = graph_of(needs)
    circle = find_circle(needs)
    assert (circle is None) == nx.is_directed_acyclic_graph(graph)
    if circle is not None:
        assert len(circle) == min(len(found) for found in nx.simple_cycles(graph, length_bound=len(circle)))


@settings(deadline=None)
@given(syllabi(circles=False), st.dictionaries(st.sampled_from(FIGURES), st.tuples(st.integers(1, 3))))
def test_the_teaching_order_is_the_least_topological_order(needs, ranks):
    places = {figure: place for place, figure in enumerate(needs)}

    def rank(figure):
        return (figure not in ranks, ranks.get(figure, ()), places[figure])

    expected = nx.lexicographical_topological_sort(graph_of(needs), key=rank)
    assert list(teaching_order(needs, ranks)) == list(expected)


@settings(deadline=None)
@given(syllabi(circles=False))
def test_the_arrows_worth_drawing_are_the_transitive_reduction(needs):
    assert arrows_worth_drawing(needs) == set(nx.transitive_reduction(graph_of(needs)).edges)


@settings(deadline=None)
@given(syllabi(circles=True))
def test_what_a_figure_needs_and_opens(needs):
    graph = graph_of(needs)
    for figure in needs:
        before = nx.ancestors(graph, figure)
        in_a_circle = any(figure in nx.ancestors(graph, need) | {need} for need in needs[figure])
        assert needed_by(needs, figure) == before | ({figure} if in_a_circle else set())
        assert set(opens(needs, figure)) == set(graph.successors(figure))
