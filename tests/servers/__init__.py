"""Real servers that start in under a second from wheels, and never outlive whoever started them."""

from .keeping import Keeper, ServerError
from .postgres import Postgres
from .valkey import Valkey

__all__ = ["Keeper", "Postgres", "ServerError", "Valkey"]
