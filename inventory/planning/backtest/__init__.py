"""What targets would have done: past demand, month by month, replayed as if what came next were unknown.

`backtest` replays a table under several policies and compares them. A policy of one's own is a `Policy`.
`backtest_kits` replays whole kits, order by order.
"""

from .comparing import MEASURES, POLICIES, BackTest, Match, backtest
from .counted import OURS, OURS_ALONE
from .figures import Outcome, outcome
from .files import Table, read_cents, read_table
from .kit_policies import KitBackTest, KitOutcome, PastKits, backtest_kits
from .kit_saying import lines_of_kits, plain_kits
from .kits import Asked, Kept, KitReplay, Shelf, replay_kits
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
    "Asked",
    "BackTest",
    "BadFigure",
    "Kept",
    "KitBackTest",
    "KitOutcome",
    "KitReplay",
    "Levels",
    "Match",
    "Outcome",
    "PastKits",
    "Policy",
    "Replay",
    "Rules",
    "Sales",
    "Seen",
    "Shelf",
    "Table",
    "backtest",
    "backtest_kits",
    "lead_chances",
    "lines",
    "lines_of_kits",
    "outcome",
    "plain",
    "plain_kits",
    "read_cents",
    "read_table",
    "replay",
    "replay_kits",
    "sales",
]
