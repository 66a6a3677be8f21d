"""The kinds of check. A new one is a file here and its name in this list."""

from __future__ import annotations

from typing import Final

from kits.fit.errors import FitError, expect
from kits.fit.kinds.chain import CHAIN
from kits.fit.kinds.pair import PAIR
from kits.fit.questions import Kind

KINDS: Final = {kind.code: kind for kind in (CHAIN, PAIR)}


def kind_of(code: str) -> Kind:
    """The kind of that code."""
    expect(code, str, "the code of a kind of check")
    if code not in KINDS:
        raise FitError(f"there is no kind of check {code!r}; use one of {', '.join(KINDS)}")
    return KINDS[code]
