"""The task queue. Without REDIS_URL every task runs in the calling process."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")

app = Celery("shimwright")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
