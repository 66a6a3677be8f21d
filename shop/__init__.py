"""The people-facing side: customers, quotes, orders, desks, documents and the API."""

from .celery import app as celery_app

__all__ = ["celery_app"]
