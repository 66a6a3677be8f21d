"""Other systems hear of alerts: signed messages by the Standard Webhooks specification.

A message is written in the transaction of the change that it tells of, and delivered after it: what is not
committed is never told, and what is committed is told once, however often it has to be tried.
"""

from .delivering import deliver_due, deliver_soon
from .telling import CHANGED, CLEARED, RAISED, new_secret, tell

__all__ = ["CHANGED", "CLEARED", "RAISED", "deliver_due", "deliver_soon", "new_secret", "tell"]
