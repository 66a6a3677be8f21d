"""Alerts: buying should act. Looked at anew as often as one likes, with the same outcome.

A cause is a question about many parts at once; `look_again` asks them all, and makes the open alerts be the
answers: one for each part, cause and what it is about, updated and not repeated, cleared when it is over.
"""

from .looking import look_again, look_over
from .marking import availability_changed, look_after_commit
from .quiet import open_alerts, snooze, wake
from .sight import Position, positions_of
from .waiting import alert_waiting, clear_waiting

__all__ = [
    "Position",
    "alert_waiting",
    "availability_changed",
    "clear_waiting",
    "look_after_commit",
    "look_again",
    "look_over",
    "open_alerts",
    "positions_of",
    "snooze",
    "wake",
]
