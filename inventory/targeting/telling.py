"""How far a run is, for whoever watches it."""

from collections.abc import Callable

# Done, of how many, of what.
Tell = Callable[[int, int, str], None]


def silent(done: int, total: int, what: str) -> None:
    """Nobody watches."""
