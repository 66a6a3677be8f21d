"""Kept answers are let go of when nobody repeats their keys any more."""

from datetime import timedelta
from typing import Any

import pytest
from django.conf import settings as shop_settings
from django.contrib.auth.models import User
from django.utils import timezone

from shop import answering
from shop.models import KeptAnswer
from shop.tasks import forget_answers


def kept(user: User, key: str, days_ago: float) -> None:
    answer = KeptAnswer.objects.create(user=user, key=key, request_hash="", status=200, body={})
    KeptAnswer.objects.filter(pk=answer.pk).update(at=timezone.now() - timedelta(days=days_ago))


@pytest.mark.django_db
def test_what_is_older_than_the_shop_keeps_is_forgotten(settings: Any) -> None:
    settings.SHOP_KEEP_ANSWERS_DAYS = 7
    user = User.objects.create_user("Tam")
    for key, days_ago in (("old", 7.1), ("older", 400), ("fresh", 6.9), ("just now", 0)):
        kept(user, key, days_ago)
    assert forget_answers() == 2
    assert set(KeptAnswer.objects.values_list("key", flat=True)) == {"fresh", "just now"}


@pytest.mark.django_db
def test_many_are_forgotten_some_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(answering, "FORGOTTEN_AT_ONCE", 2)
    user = User.objects.create_user("Tam")
    for n in range(5):
        kept(user, f"k{n}", 100 + n)
    assert forget_answers() == 5
    assert forget_answers() == 0


def test_answers_are_kept_for_a_month_and_looked_through_every_day() -> None:
    assert shop_settings.SHOP_KEEP_ANSWERS_DAYS == 30
    assert {
        "task": "shop.tasks.forget_answers",
        "schedule": 86400.0,
    } in shop_settings.CELERY_BEAT_SCHEDULE.values()
