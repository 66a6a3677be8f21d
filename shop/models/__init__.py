"""The nouns of selling: customers, quotes, orders, parcels and what was built."""

from .answers import KeptAnswer
from .customers import Customer
from .notices import Notice
from .orders import AsBuilt, Order, OrderKit, Parcel
from .quotes import Quote, QuoteKit, QuoteLine
from .returns import CustomerReturn, ReturnLine

__all__ = [
    "AsBuilt",
    "Customer",
    "CustomerReturn",
    "KeptAnswer",
    "Notice",
    "Order",
    "OrderKit",
    "Parcel",
    "Quote",
    "QuoteKit",
    "QuoteLine",
    "ReturnLine",
]
