"""Every walk down the places of a network is a whole answer of it, and every answer is such a walk."""

from collections.abc import Hashable, Iterator
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from kits.solver import Network, Table, Unfolded, compile, unfolded
from kits.solver.network import Cost

from .networks import Every, networks

Told = frozenset[Cost]


@st.composite
def asked(draw: st.DrawFn) -> tuple[Network, list[str], list[Cost]]:
    network = draw(networks())
    values: list[Cost] = [(name, value) for name, known in network.variables.items() for value in known]
    counting = draw(st.lists(st.sampled_from(list(network.variables)), unique=True))
    return network, counting, draw(st.lists(st.sampled_from(values), max_size=2))


def walks(found: Unfolded, places: tuple[int, ...]) -> Iterator[Told]:
    each = [
        [own | rest for way in found.places[place]
         for own in [frozenset[Cost]() if way.value is None else frozenset({way.value})]
         for rest in walks(found, way.then)]
        for place in places
    ]  # fmt: skip
    for chosen in product(*each):
        yield frozenset[Cost]().union(*chosen)


@settings(max_examples=200, deadline=None)
@given(asked())
def test_the_walks_are_the_answers(case: tuple[Network, list[str], list[Cost]]) -> None:
    network, counting, barred = case
    every, wanted = Every(network), set()
    for row in every.grid[every.good].tolist():
        pairs = zip(every.names, row, strict=True)
        answer: dict[str, Hashable] = {name: network.variables[name][place] for name, place in pairs}
        if not answer.items() & set(barred):
            wanted.add(frozenset((name, answer[name]) for name in counting))
    found = unfolded(compile(network), counting, barred)
    assert (set(walks(found, found.first)) if found is not None else set()) == wanted
    if found is not None:
        led_to = set(found.first).union(*(way.then for ways in found.places for way in ways))
        assert led_to == set(range(len(found.places)))


def test_places_are_told_after_the_ones_that_they_lead_to() -> None:
    pairs = Table(("a", "b"), [(0, 0), (0, 1), (1, 1)])
    found = unfolded(compile(Network({"a": (0, 1), "b": (0, 1)}, [pairs])), ["a", "b"])
    assert found is not None
    for number, ways in enumerate(found.places):
        assert all(then < number for way in ways for then in way.then)


def test_a_great_many_answers_have_few_places() -> None:
    network = Network({f"slot {n}": ("a", "b") for n in range(40)})
    found = unfolded(compile(network), list(network.variables))
    assert found is not None and len(found.places) == len(found.first) == 40


def test_a_network_without_an_answer_has_none() -> None:
    assert unfolded(compile(Network({"slot": ("a",)}, [Table(("slot",), ())])), ["slot"]) is None
    assert unfolded(compile(Network({"slot": ("a",)})), ["slot"], [("slot", "a")]) is None
