"""The buying desk's acts: orders to suppliers, from the draft to the last piece, and what comes of them."""

from inventory.alerting import alert_waiting, clear_waiting, look_again
from inventory.deliveries import put_away, receive
from inventory.differences import close_short, settle

from .approving import approve, limit_of, take_back
from .drafting import draft_suggested, order_from_alerts, write_order
from .editing import add_line, change_line, discard
from .following import LateLine, LateLines, late_lines, remind
from .sending import send
from .terms import Sum, sum_of

__all__ = [
    "LateLine",
    "LateLines",
    "Sum",
    "add_line",
    "alert_waiting",
    "approve",
    "change_line",
    "clear_waiting",
    "close_short",
    "discard",
    "draft_suggested",
    "late_lines",
    "limit_of",
    "look_again",
    "order_from_alerts",
    "put_away",
    "receive",
    "remind",
    "send",
    "settle",
    "sum_of",
    "take_back",
    "write_order",
]
