"""Answers kept under an Idempotency-Key, so that a repeated request gets the first answer again."""

from django.conf import settings
from django.db import models


class KeptAnswer(models.Model):
    user = models.ForeignKey(  # The constraint's index begins with it.
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+", db_index=False
    )
    key = models.CharField(max_length=120)
    request_hash = models.CharField(max_length=64)
    at = models.DateTimeField(auto_now_add=True, db_index=True)
    status = models.PositiveSmallIntegerField(null=True)
    body = models.JSONField(null=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["user", "key"], name="one_answer_per_key")]

    def __str__(self) -> str:
        return self.key
