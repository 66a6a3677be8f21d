"""The nouns of the store room: parts, places, the ledger, promises, walks and buying."""

from .alerts import Alert, Webhook, WebhookMessage
from .counts import Correction, CountEntry, CountLine, CountRound
from .demand import Demand, MonthlyDemand
from .ledger import Balance, Movement, Stock
from .parts import AlternateNumber, Category, Lot, Maker, Makeup, Part, Supersession, scan_key
from .places import Place
from .planning import BuyingLimit, Target, TargetRun
from .purchases import (
    Difference,
    PurchaseLine,
    PurchaseOrder,
    Receipt,
    ReceiptLine,
    Reminder,
    SupplierMail,
)
from .records import AuditEntry
from .reservations import Reservation, ReservationLine
from .suppliers import Offer, PriceBreak, Supplier
from .values import LateCharge
from .walks import Walk, WalkStop

__all__ = [
    "Alert",
    "AlternateNumber",
    "AuditEntry",
    "Balance",
    "BuyingLimit",
    "Category",
    "Correction",
    "CountEntry",
    "CountLine",
    "CountRound",
    "Demand",
    "Difference",
    "LateCharge",
    "Lot",
    "Maker",
    "Makeup",
    "MonthlyDemand",
    "Movement",
    "Offer",
    "Part",
    "Place",
    "PriceBreak",
    "PurchaseLine",
    "PurchaseOrder",
    "Receipt",
    "ReceiptLine",
    "Reminder",
    "Reservation",
    "ReservationLine",
    "Stock",
    "Supersession",
    "Supplier",
    "SupplierMail",
    "Target",
    "TargetRun",
    "Walk",
    "WalkStop",
    "Webhook",
    "WebhookMessage",
    "scan_key",
]
