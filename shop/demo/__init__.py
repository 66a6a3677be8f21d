"""The demo scenario: reads fixtures/demo/ into an empty database.

`load(today)` is all that others call; dates in the files are relative to that day. The scenario is
told in fixtures/demo/README.md.
"""

from .loading import is_loaded, load
from .reading import FixtureError

__all__ = ["FixtureError", "is_loaded", "load"]
