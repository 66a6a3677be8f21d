"""Random kits as networks: slots of candidates with whole-number lengths, rules between them, chains.

Lengths as on drawings: sizes in steps of half a millimetre and a few odd ones, in units of 10 nm, with
tolerances; a chain's limits lie around the gap of one kit that is known to go together, so that there is one.
"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from random import Random
from typing import Final

from kits.solver import Cost, Network, Sum, Table

MM: Final = 100_000
LINKS: Final = 5
Variables = Mapping[str, Sequence[Hashable]]


@dataclass(frozen=True)
class Shape:
    """What kind of kit: `slots` of `least` to `most` candidates; rules from end to end of it; chains.

    With rules from end to end, every second chain is one as well; otherwise all is between neighbours.
    """

    slots: int
    least: int
    most: int
    far: int
    chains: int

    def __str__(self) -> str:
        of = f"{self.most}" if self.least == self.most else f"{self.least} to {self.most}"
        rules = f"{self.far} global rules" if self.far else "local rules"
        return f"{self.slots} x {of}, {rules}, {self.chains} chain{'s' if self.chains > 1 else ''}"


def random_kit(shape: Shape, seed: int) -> Network:
    """Every slot's candidates with prices, a rule between neighbours, further rules, and chains."""
    chance = Random(seed)
    variables = {
        f"slot {i}": tuple(range(chance.randint(shape.least, shape.most))) for i in range(shape.slots)
    }
    names = list(variables)
    known = {name: chance.choice(values) for name, values in variables.items()}
    tables = [_same(chance, variables, known, pair) for pair in pairwise(names)]
    near = [_some(chance, names, 2, 4) for _ in range(shape.slots // 2)]
    far = [_some(chance, names, 2, None) for _ in range(shape.far)]
    tables += [_barred(chance, variables, known, pair) for pair in (*near, *far)]
    chains = [
        _chain(chance, variables, known, _some(chance, names, LINKS, None if shape.far and i % 2 else LINKS))
        for i in range(shape.chains)
    ]
    costs: dict[Cost, int] = {
        (name, value): chance.randint(300, 90_000) for name in names for value in variables[name]
    }
    return Network(variables, tables, chains, costs)


def _some(chance: Random, names: Sequence[str], count: int, within: int | None) -> tuple[str, ...]:
    """Different slots, in a stretch of so many neighbours or from everywhere."""
    if within is None:
        return tuple(chance.sample(names, count))
    first = chance.randrange(len(names) - within + 1)
    return tuple(chance.sample(names[first : first + within], count))


def _same(
    chance: Random, variables: Variables, known: Mapping[str, Hashable], pair: tuple[str, ...]
) -> Table:
    """Both have the same size of flange, of four."""
    size = {(name, value): chance.randrange(4) for name in pair for value in variables[name]}
    size[pair[1], known[pair[1]]] = size[pair[0], known[pair[0]]]
    one, other = pair
    rows = [(a, b) for a in variables[one] for b in variables[other] if size[one, a] == size[other, b]]
    return Table(pair, rows, True, f"flanges of {one} and {other}")


def _barred(
    chance: Random, variables: Variables, known: Mapping[str, Hashable], scope: tuple[str, ...]
) -> Table:
    """A tenth of the pairs foul each other."""
    every = [(a, b) for a in variables[scope[0]] for b in variables[scope[1]]]
    kept = tuple(known[name] for name in scope)
    rows = [row for row in every if row != kept and chance.random() < 0.1]
    return Table(scope, rows, False, f"{scope[0]} fouls {scope[1]}")


def _chain(
    chance: Random, variables: Variables, known: Mapping[str, Hashable], scope: tuple[str, ...]
) -> Sum:
    """A dimension chain whose gap may lie 0.3 mm to either side of that of the known kit."""
    lengths: dict[str, dict[Hashable, tuple[int, int]]] = {}
    for name in scope:
        sign = chance.choice((1, -1))
        lengths[name] = {}
        for value in variables[name]:
            size = sign * (chance.randint(20, 60) * MM // 2 + chance.choice((0, 0, 0, 5_000, 12_700)))
            tolerance = chance.choice((1_000, 2_000, 5_000))
            lengths[name][value] = (size - tolerance, size + tolerance)
    low = sum(lengths[name][known[name]][0] for name in scope)
    high = sum(lengths[name][known[name]][1] for name in scope)
    return Sum(scope, lengths, low - 3 * MM // 10, high + 3 * MM // 10, f"gap over {', '.join(scope)}")
