"""The nouns of the store room: parts, places, the ledger, promises, walks and buying."""

from .counts import Correction, CountEntry, CountLine, CountRound
from .ledger import Balance, Movement, Stock
from .parts import AlternateNumber, Category, Lot, Maker, Makeup, Part, Supersession, scan_key
from .places import Place
from .planning import Alert, MonthlyDemand, Target
from .purchases import PurchaseLine, PurchaseOrder, Receipt, ReceiptLine
from .records import AuditEntry
from .reservations import Reservation, ReservationLine
from .suppliers import Offer, Supplier
from .values import LateCharge
from .walks import Walk, WalkStop

__all__ = [
    "Alert",
    "AlternateNumber",
    "AuditEntry",
    "Balance",
    "Category",
    "Correction",
    "CountEntry",
    "CountLine",
    "CountRound",
    "LateCharge",
    "Lot",
    "Maker",
    "Makeup",
    "MonthlyDemand",
    "Movement",
    "Offer",
    "Part",
    "Place",
    "PurchaseLine",
    "PurchaseOrder",
    "Receipt",
    "ReceiptLine",
    "Reservation",
    "ReservationLine",
    "Stock",
    "Supersession",
    "Supplier",
    "Target",
    "Walk",
    "WalkStop",
    "scan_key",
]
