"""The counter: the engine, the kit, the quote, the order."""

from .engines import Counter, EngineSheet
from .kits import KitQuote, KitSheet
from .orders import OrderPaper, OrderSheet
from .quotes import QuotePaper, QuoteSheet

__all__ = [
    "Counter",
    "EngineSheet",
    "KitQuote",
    "KitSheet",
    "OrderPaper",
    "OrderSheet",
    "QuotePaper",
    "QuoteSheet",
]
