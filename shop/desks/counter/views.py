"""The counter: the engine, the kit, the quote, the order."""

from .engines import Counter, EngineSheet
from .kits import KitQuote, KitSheet
from .opening import InTheWay, KitSlot
from .orders import OrderSheet
from .quotes import QuoteSheet

__all__ = [
    "Counter",
    "EngineSheet",
    "InTheWay",
    "KitQuote",
    "KitSheet",
    "KitSlot",
    "OrderSheet",
    "QuoteSheet",
]
