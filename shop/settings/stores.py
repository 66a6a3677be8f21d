"""Where things are kept: SQLite and in-process tasks by default, PostgreSQL and Redis when named."""

import os
from typing import Any

import dj_database_url
from celery.schedules import crontab

from .alerts import SHOP_DIGEST_HOUR
from .base import BASE_DIR

_DEFAULT_DATABASE = f"sqlite:///{BASE_DIR / 'shimwright.sqlite3'}"


def database(url: str) -> dict[str, Any]:
    """Django's settings for one database URL, with what each engine needs to be safe at a busy counter."""
    config: dict[str, Any] = dict(dj_database_url.parse(url))
    if config["ENGINE"] == "django.db.backends.sqlite3":
        # IMMEDIATE takes the write lock when the transaction opens: SQLite has no row locks, and a
        # deferred transaction that upgrades half-way fails at once instead of waiting.
        config["OPTIONS"] = {
            "transaction_mode": "IMMEDIATE",
            "timeout": 30,
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
        }
    else:
        config["CONN_MAX_AGE"] = 60
        config["CONN_HEALTH_CHECKS"] = True
    return config


DATABASES = {"default": database(os.environ.get("DATABASE_URL") or _DEFAULT_DATABASE)}

REDIS_URL = os.environ.get("REDIS_URL", "")

CELERY_BROKER_URL = REDIS_URL or "memory://"
CELERY_TASK_ALWAYS_EAGER = not REDIS_URL
CELERY_TASK_EAGER_PROPAGATES = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_TIME_LIMIT = 600
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BEAT_SCHEDULE = {
    "lapse-holds": {"task": "inventory.tasks.lapse_holds", "schedule": 300.0},
    "let-waiting-orders-go": {"task": "shop.tasks.let_waiting_orders_go", "schedule": 300.0},
    "look-at-deliveries": {"task": "shop.tasks.look_at_deliveries", "schedule": crontab(hour=5, minute=0)},
    "forget-answers": {"task": "shop.tasks.forget_answers", "schedule": 86400.0},
    "send-letters": {"task": "shop.tasks.send_letters", "schedule": 60.0},
    "raise-alerts": {"task": "inventory.tasks.raise_alerts", "schedule": 3600.0},
    "deliver-webhooks": {"task": "inventory.tasks.deliver_webhooks", "schedule": 60.0},
    # There is one a day; the later ones are for a day on which the mail server was away, or all was well.
    "send-digest": {
        "task": "shop.tasks.send_digest",
        "schedule": crontab(hour=f"{SHOP_DIGEST_HOUR}-23", minute=10),
    },
    "reckon-targets": {
        "task": "inventory.tasks.reckon_targets",
        "schedule": crontab(hour=2, minute=0, day_of_week="sun"),
    },
}

CACHES = {
    "default": (
        {"BACKEND": "django.core.cache.backends.redis.RedisCache", "LOCATION": REDIS_URL}
        if REDIS_URL
        else {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}
    )
}
