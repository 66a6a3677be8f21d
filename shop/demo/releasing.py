"""Releases the templates, so that the counter can open kits on them."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.models import User

from kits.models import TemplateRevision


def release_all(revisions: list[TemplateRevision], by: User, at: datetime) -> None:
    """Release every revision."""
    for revision in revisions:
        revision.state = TemplateRevision.State.RELEASED
        revision.released_at, revision.released_by = at, by
        revision.save(update_fields=["state", "released_at", "released_by"])
