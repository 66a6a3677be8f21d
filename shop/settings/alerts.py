"""What buying is warned of, what waiting is reckoned to cost, and who else is told."""

import os
from decimal import Decimal

from .base import _flag

# Stock is dead that nobody asked for in so many months, if what lies here of it is worth at least so much.
SHOP_DEAD_MONTHS = int(os.environ.get("SHIMWRIGHT_DEAD_MONTHS", "12"))
SHOP_DEAD_VALUE = Decimal(os.environ.get("SHIMWRIGHT_DEAD_VALUE", "50"))
# What a piece that cannot be served costs, as a share of what it carries; and what a day costs on which an
# order waits, as a share of what the order is worth.
SHOP_MISSED_SHARE = Decimal(os.environ.get("SHIMWRIGHT_MISSED_SHARE", "0.2"))
SHOP_WAITING_SHARE = Decimal(os.environ.get("SHIMWRIGHT_WAITING_SHARE", "0.01"))
# At which hour the digest of the alerts goes out.
SHOP_DIGEST_HOUR = int(os.environ.get("SHIMWRIGHT_DIGEST_HOUR", "6"))
# May a webhook lie in the shop's own network? No: whoever may add one could reach what is closed to him.
SHOP_WEBHOOKS_INSIDE = _flag("SHIMWRIGHT_WEBHOOKS_INSIDE", False)
