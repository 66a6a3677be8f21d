"""The nouns of selling: customers, quotes, orders, parcels and what was built."""

from .answers import KeptAnswer
from .customers import Customer
from .orders import AsBuilt, Order, OrderKit, Parcel
from .quotes import Quote, QuoteKit, QuoteLine

__all__ = [
    "AsBuilt",
    "Customer",
    "KeptAnswer",
    "Order",
    "OrderKit",
    "Parcel",
    "Quote",
    "QuoteKit",
    "QuoteLine",
]
