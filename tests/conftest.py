"""What any test may ask for."""

from collections.abc import Callable, Iterator
from typing import Any

import hypothesis
import pytest

from tests import threads
from tests.flushing import flushing_past_triggers

pytest_plugins = ["tests.browsing", "tests.scenes", "tests.clerks"]

# A busy machine is slow, not wrong. What CI=true adds (the same examples every time) stays.
hypothesis.settings.register_profile(
    "unhurried",
    parent=hypothesis.settings(),
    deadline=None,
    suppress_health_check=[hypothesis.HealthCheck.too_slow],
)
hypothesis.settings.load_profile("unhurried")


@pytest.fixture(scope="session", autouse=True)
def _flushes_go_past_triggers() -> Iterator[None]:
    with flushing_past_triggers():
        yield


@pytest.fixture
def run_in_threads(transactional_db: None) -> Callable[..., list[Any]]:
    """`run_in_threads(a, b)` runs both at once over two connections; see tests/threads.py."""
    return threads.run_in_threads
