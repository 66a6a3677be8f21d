"""Buying: what needs somebody today, the orders to suppliers, and goods in, which books what comes."""

from .dock import GoodsIn
from .files import BuyingFile, PurchasePaper
from .morning import Buying
from .order_sheet import PurchaseSheet

__all__ = ["Buying", "BuyingFile", "GoodsIn", "PurchasePaper", "PurchaseSheet"]
