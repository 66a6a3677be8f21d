"""The one place where an error becomes an answer."""

from rest_framework.views import exception_handler as handle

__all__ = ["handle"]
