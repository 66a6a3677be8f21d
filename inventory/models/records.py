"""Who did what, when. Written by `inventory.acting.act` in the same transaction as the act."""

from django.conf import settings
from django.db import models


class AuditEntry(models.Model):
    at = models.DateTimeField(auto_now_add=True, db_index=True)
    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", db_index=False
    )
    act = models.CharField(max_length=60)
    subject_kind = models.CharField(max_length=60, blank=True)
    subject_id = models.CharField(max_length=40, blank=True)
    subject = models.CharField(max_length=200, blank=True)
    detail = models.JSONField(default=dict)

    class Meta:
        ordering = ["-at", "-id"]
        verbose_name_plural = "audit entries"
        indexes = [models.Index(fields=["subject_kind", "subject_id"], name="audit_subject")]

    def __str__(self) -> str:
        return f"{self.act} {self.subject} by {self.user}"
