"""Past demand: from what went out, was missed and came back to a table by month or week, and its classes."""

from .borrowing import borrowed_means
from .by_columns import series_of_columns
from .calendar import Calendar
from .classes import Classes, abc, classify, kinds
from .events import Event, Total, last_successors
from .one_offs import look_one_off
from .series import Series, series

__all__ = [
    "Calendar",
    "Classes",
    "Event",
    "Series",
    "Total",
    "abc",
    "borrowed_means",
    "classify",
    "kinds",
    "last_successors",
    "look_one_off",
    "series",
    "series_of_columns",
]
