"""What can still go into every slot: the solver beside incremental SAT and CP-SAT, no database.

Random kits always; a configuration instance too, where SHIMWRIGHT_XCSP names its file (XCSP). Configurations
that were sold of it, one a line below a line of variables, are replayed in random order: from
SHIMWRIGHT_SOLD, or the file beside it whose name ends in _sold.txt; else random ones.
"""

import os
import time
import tracemalloc
from collections.abc import Callable, Hashable, Iterator
from itertools import islice
from pathlib import Path
from random import Random
from typing import Final, TypeVar

from kits.solver import NOT_YET_KNOWN, Compiled, Network, TooLarge, compile, read_xcsp, solver_for
from tests.kits.solver.sat import Sat

from .random_kits import Shape, random_kit
from .rivals import CpSat
from .table import Row, timings

Choices = dict[str, Hashable]
Step = tuple[Choices, dict[tuple[str, Hashable], int]]
One = TypeVar("One")

SHAPES: Final = (
    Shape(20, 30, 30, 0, 1),
    Shape(20, 30, 30, 0, 4),
    Shape(40, 3, 60, 0, 1),
    Shape(40, 3, 60, 0, 2),
    Shape(20, 30, 30, 2, 1),
    Shape(20, 30, 30, 8, 4),
    Shape(40, 3, 60, 8, 4),
)
REPLAYS: Final = 4
SECONDS: Final = 2.0  # For each question to each engine: a rival may be slow.
BUDGET_MEDIUM_MS: Final = 2.0
BUDGET_LOCAL_MS: Final = 20.0


def run() -> list[Row]:
    rows: list[Row] = []
    path = os.environ.get("SHIMWRIGHT_XCSP")
    if path:
        network = read_xcsp(path)
        rows += _of("instance", network, _sold(Path(path)), BUDGET_MEDIUM_MS, REPLAYS)
    for shape in SHAPES:
        budget = BUDGET_LOCAL_MS if not shape.far and shape.slots == 20 else None
        rows += _of(str(shape), random_kit(shape, 1), [], budget, REPLAYS // 2)
    return rows


def _of(
    what: str, network: Network, sold: list[Choices], budget: float | None, replays: int
) -> Iterator[Row]:
    chance = Random(5)
    try:
        answering, row = _compiled(what, network)
    except TooLarge as error:
        yield Row(f"{what}: compile", "does not", str(error))
        yield from _searched(what, network, chance)
        return
    yield row
    steps = [step for _ in range(replays) for step in _replay(network, answering, sold, chance)]
    yield timings(f"{what}: options", _timed(steps, lambda step: answering.options(step[0])))
    seconds = _timed(steps, lambda step: (answering.options(*step), answering.count(step[0])))
    yield timings(f"{what}: options with costs, and a count", seconds, budget)
    blocked = list(_blocked(answering, steps, chance))
    yield timings(
        f"{what}: conflict of a blocked value", _timed(blocked, lambda one: answering.conflict(*one))
    )
    seconds = _timed(blocked, lambda one: answering.repairs(*one, 3))
    yield timings(f"{what}: three cheapest repairs", seconds)
    yield from _rivals(what, network, steps)


def _compiled(what: str, network: Network) -> tuple[Compiled, Row]:
    started = time.perf_counter()
    answering = compile(network)
    seconds = [time.perf_counter() - started]
    for _ in range(2):
        started = time.perf_counter()
        compile(network)
        seconds.append(time.perf_counter() - started)
    tracemalloc.start()
    compile(network)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    size = answering.size
    return answering, Row(
        f"{what}: compile",
        f"{sorted(seconds)[1]:.2f} s, peak {peak / 2**20:.0f} MiB",
        f"{size.nodes:,} nodes, {size.rows:,} rows, {size.arcs:,} arcs",
    )


def _replay(network: Network, answering: Compiled, sold: list[Choices], chance: Random) -> Iterator[Step]:
    """One choice after the other in random order, each with other prices, until all are made."""
    if sold:
        whole = chance.choice(sold)
    else:
        whole, _ = answering.best({}, _prices(network, chance))
    choices: Choices = {}
    for name, value in chance.sample(list(whole.items()), len(whole)):
        if answering.possible({**choices, name: value}):  # Not all that was sold is allowed.
            choices = {**choices, name: value}
        yield choices, _prices(network, chance)


def _prices(network: Network, chance: Random) -> dict[tuple[str, Hashable], int]:
    return {
        (n, value): chance.randint(300, 90_000) for n, values in network.variables.items() for value in values
    }


def _blocked(
    answering: Compiled, steps: list[Step], chance: Random
) -> Iterator[tuple[Choices, str, Hashable]]:
    """A value that is not possible, for each step that has one."""
    for choices, _ in steps:
        options = answering.options(choices)
        blocked = [(name, v) for name, costs in options.items() for v, cost in costs.items() if cost is None]
        if blocked:
            yield choices, *chance.choice(blocked)


def _rivals(what: str, network: Network, steps: list[Step]) -> Iterator[Row]:
    sat, cp = Sat(network), CpSat(network, SECONDS)
    asked = Random(6).sample(steps, len(steps))
    yield timings(
        f"{what}: possible or not, incremental SAT", _timed(asked, lambda step: sat.options(step[0]))
    )
    yield timings(f"{what}: one cheapest kit, CP-SAT", _timed(asked, lambda step: cp.best(*step)))
    sat.close()


def _searched(what: str, network: Network, chance: Random) -> Iterator[Row]:
    """Where it does not compile: the engine that takes over, along a random way through the kit."""
    engine = solver_for(network, seconds=SECONDS)
    whole, _ = CpSat(network, SECONDS).best({}, {})
    order = chance.sample(list(whole.items()), len(whole))
    steps = [(dict(order[:made]), _prices(network, chance)) for made in range(len(order) + 1)]
    for made in (0, len(order) // 2, len(order) * 3 // 4):
        started = time.perf_counter()
        found = engine.options(*steps[made])
        seconds = time.perf_counter() - started
        said = [cost for costs in found.values() for cost in costs.values()]
        yield Row(
            f"{what}: options with costs, {made} choices made",
            f"{seconds * 1000:.0f} ms ({engine.engine_for(steps[made][0])})",
            f"not yet known: {said.count(NOT_YET_KNOWN)} of {len(said)}",
        )
    yield from _rivals(what, network, steps)


def _timed(questions: list[One], ask: Callable[[One], object]) -> list[float]:
    """Seconds of each, as many as there is time for: two at the least."""
    found: list[float] = []
    for question in questions:
        started = time.perf_counter()
        ask(question)
        found.append(time.perf_counter() - started)
        if sum(found) > SECONDS and len(found) > 1:
            break
    return found


def _sold(path: Path) -> list[Choices]:
    """Configurations that were sold, if their file is there."""
    named = os.environ.get("SHIMWRIGHT_SOLD")
    file = Path(named) if named else path.with_name(f"{path.stem}_sold.txt")
    if not file.exists():
        return []
    with file.open() as lines:
        names = next(lines).split()
        return [dict(zip(names, map(int, line.split()), strict=True)) for line in islice(lines, 1000)]
