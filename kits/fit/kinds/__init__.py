"""The kinds of check. A new one is a file here and its name in this list."""

from __future__ import annotations

from typing import Final

from kits.fit.errors import FitError, expect
from kits.fit.kinds.bolt_circle import BOLT_CIRCLE
from kits.fit.kinds.bound import BOUND
from kits.fit.kinds.chain import CHAIN
from kits.fit.kinds.keyway import KEYWAY
from kits.fit.kinds.pair import PAIR
from kits.fit.kinds.press import PRESS
from kits.fit.kinds.same import SAME, SAME_COUNT
from kits.fit.kinds.thread import THREAD
from kits.fit.questions import Kind

_ALL: Final = (CHAIN, PAIR, PRESS, THREAD, SAME, SAME_COUNT, KEYWAY, BOLT_CIRCLE, BOUND)
KINDS: Final = {kind.code: kind for kind in _ALL}


def kind_of(code: str) -> Kind:
    """The kind of that code."""
    expect(code, str, "the code of a kind of check")
    if code not in KINDS:
        raise FitError(f"there is no kind of check {code!r}; use one of {', '.join(KINDS)}")
    return KINDS[code]
