"""What is made ready in the background. Without a worker it is made at its first use."""

from celery import shared_task

from . import surveying
from .models import TemplateRevision


@shared_task
def prepare_networks(revision_id: int) -> int:
    """Compile a released revision for each of its engines; returns how many."""
    return surveying.prepare(TemplateRevision.objects.get(pk=revision_id))
