"""What targets would have done: past demand, month by month, replayed as if what came next were unknown.

`backtest` replays a table under several policies and compares them. A policy of one's own is a `Policy`.
"""

from .comparing import MEASURES, POLICIES, BackTest, Match, backtest
from .counted import OURS, OURS_ALONE
from .figures import Outcome, outcome
from .files import Table, read_cents, read_table
from .normal import CROSTON_NORMAL, FACTOR_YEAR, NORMAL, NORMAL_YEAR
from .policy import Levels, Policy, Seen
from .replay import Replay, replay
from .rules import PERIOD_DAYS, Rules, lead_chances
from .saying import lines, plain
from .table import BadFigure, Sales, sales

__all__ = [
    "CROSTON_NORMAL",
    "FACTOR_YEAR",
    "MEASURES",
    "NORMAL",
    "NORMAL_YEAR",
    "OURS",
    "OURS_ALONE",
    "PERIOD_DAYS",
    "POLICIES",
    "BackTest",
    "BadFigure",
    "Levels",
    "Match",
    "Outcome",
    "Policy",
    "Replay",
    "Rules",
    "Sales",
    "Seen",
    "Table",
    "backtest",
    "lead_chances",
    "lines",
    "outcome",
    "plain",
    "read_cents",
    "read_table",
    "replay",
    "sales",
]
