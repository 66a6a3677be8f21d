"""A made-up instance in the shape of real configurations: options that are there or not, by tables."""

from collections.abc import Sequence
from random import Random

from kits.solver import Network, Table

NOT_THERE = -1
Domains = dict[str, tuple[int, ...]]


def made_up(seed: int, variables: int = 60) -> Network:
    """Every variable depends on an earlier one near it; some are there only with some of its values.

    A hidden whole answer is kept possible, so that there is at least one.
    """
    chance = Random(seed)
    domains: Domains = {}
    tables: list[Table] = []
    answer: dict[str, int] = {}
    for number in range(variables):
        name = f"option {number}"
        values = tuple(range(chance.randint(2, 6)))
        domains[name] = (NOT_THERE, *values) if number % 3 == 2 else values
        if number == 0:
            answer[name] = chance.choice(values)
            continue
        other = f"option {max(0, number - chance.randint(1, 8))}"
        rows = _depending(chance, domains[other], domains[name])
        answer[name] = chance.choice([value for known, value in rows if known == answer[other]])
        tables.append(Table((other, name), rows, True, f"{name} depends on {other}"))
    tables += [_together(chance, domains, answer, number) for number in range(variables - 5)]
    tables += [_banned(chance, domains, answer, 8) for _ in range(variables // 3)]
    tables += [_banned(chance, domains, answer, variables) for _ in range(3)]
    return Network(domains, tables)


def _depending(chance: Random, known: Sequence[int], values: Sequence[int]) -> list[tuple[int, int]]:
    there = [value for value in values if value != NOT_THERE]
    rows: list[tuple[int, int]] = []
    for one in known:
        if NOT_THERE in values and (one == NOT_THERE or chance.random() < 0.3):
            rows.append((one, NOT_THERE))
        else:
            rows += [(one, value) for value in chance.sample(there, chance.randint(1, len(there)))]
    return rows


def _together(chance: Random, domains: Domains, answer: dict[str, int], first: int) -> Table:
    """Three neighbours of which four in five combinations are made."""
    scope = tuple(f"option {first + step}" for step in sorted(chance.sample(range(5), 3)))
    every = [(a, b, c) for a in domains[scope[0]] for b in domains[scope[1]] for c in domains[scope[2]]]
    kept = tuple(answer[name] for name in scope)
    rows = [row for row in every if row == kept or chance.random() < 0.8]
    return Table(scope, rows, True, f"made together: {', '.join(scope)}")


def _banned(chance: Random, domains: Domains, answer: dict[str, int], apart: int) -> Table:
    """Two, so far apart at the most, that do not go together."""
    first = chance.randrange(len(domains) - apart + 1)
    scope = tuple(f"option {first + step}" for step in chance.sample(range(apart), 2))
    rows = [tuple(chance.choice(domains[name]) for name in scope) for _ in range(3)]
    kept = tuple(answer[name] for name in scope)
    return Table(scope, [row for row in rows if row != kept], False, f"not together: {', '.join(scope)}")
