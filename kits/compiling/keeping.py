"""Compiled networks are kept by what they were made from: the same facts, the same network.

So nothing has to be told that something changed. A dimension that a check uses makes a new network, for
exactly those templates and engines that use it; stock and prices are no part of the facts.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from threading import Lock
from typing import Any, Final

from django.core.cache import cache

from kits.compiling.network import network_of
from kits.compiling.seats import Fillings
from kits.conversion import Conversion
from kits.facts import attributes_said, digest, features_used, rule_said, value_said, values_said, works_said
from kits.solver import Cost, Solver, rest, solver_for

MOST_KEPT: Final = 64  # in this process; the cache that processes share keeps more
_SHARED_SECONDS: Final = 30 * 24 * 3600
_MADE_BY: Final = "2"  # Counted up when what is made from the same facts changes.


@dataclass(frozen=True)
class Kept:
    """A network ready to be asked; what its values cost beside the parts, in cents; the works' minutes."""

    solver: Solver
    costs: Mapping[Cost, int]
    minutes: Mapping[Cost, int]


_here: OrderedDict[str, Kept] = OrderedDict()
_lock = Lock()


def kept_for(conversion: Conversion, fillings: Fillings, among: Kept | None = None) -> Kept:
    """The network of a conversion, made now if there is none of these facts yet.

    `among` has a network of the same conversion with more fillings: then nothing has to be judged again.
    """
    # What a category selects comes in the order of prices, which are no fact of the network.
    fillings = {slot_id: dict(sorted(of_slot.items())) for slot_id, of_slot in fillings.items()}
    key = facts_of(conversion, fillings)
    with _lock:
        if key in _here:
            _here.move_to_end(key)
            return _here[key]
    found = cache.get(f"network-{key}")
    if not isinstance(found, Kept):
        found = _made(conversion, fillings) if among is None else _fewer(conversion, fillings, among)
        cache.set(f"network-{key}", found, _SHARED_SECONDS)
    with _lock:
        _here[key] = found
        while len(_here) > MOST_KEPT:
            _here.popitem(last=False)
    return found


def _made(conversion: Conversion, fillings: Fillings) -> Kept:
    drafted = network_of(conversion, fillings)
    return Kept(solver_for(drafted.network), drafted.costs, drafted.minutes)


def _fewer(conversion: Conversion, fillings: Fillings, among: Kept) -> Kept:
    """What is left of a network when slots have only these fillings."""
    network = among.solver.network
    left = {**network.variables, **{slot.code: tuple(fillings[slot.id]) for slot in conversion.slots}}
    return Kept(solver_for(rest(network, left)), among.costs, among.minutes)


def facts_of(conversion: Conversion, fillings: Fillings) -> str:
    """A digest of everything that the network is made from."""
    return digest(_facts(conversion, fillings))


def _facts(conversion: Conversion, fillings: Fillings) -> Iterator[Any]:
    used = features_used(conversion)
    # Not which engine it is: engines of which the same matters have one network.
    yield _MADE_BY, conversion.revision_id, attributes_said(conversion)
    yield values_said(conversion.engine_values, used)
    for slot in conversion.slots:
        yield slot.code, slot.quantity, slot.required
        for key, filling in fillings[slot.id].items():
            yield key, filling.parts, [(feature, value_said(value)) for feature, value in filling.own]
    filled = {p for of_slot in fillings.values() for filling in of_slot.values() for p, _ in filling.parts}
    for part_id in sorted(filled):
        part = conversion.parts[part_id]
        yield (
            part_id,
            part.key,
            part.maker_code,
            part.category_id,
            part.category,
            values_said(part.values, used),
        )
    yield [check.said for check in conversion.checks]
    yield [rule_said(rule) for rule in conversion.rules]
    yield works_said(conversion, used)
