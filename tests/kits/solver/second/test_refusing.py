"""Arguments that make no sense are refused with what to do instead."""

from collections.abc import Callable

import pytest

from kits.solver import NetworkError

from .nonsense import NONSENSE


@pytest.mark.parametrize(("what", "ask", "remedy"), NONSENSE)
def test_nonsense_is_refused_with_a_remedy(what: str, ask: Callable[[], object], remedy: str) -> None:
    with pytest.raises(NetworkError, match=remedy):
        ask()
