"""Changes to the small shop's template that its builder does not make."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.utils import timezone

from inventory.models import Part
from kits.models import Candidate, CandidatePart, Slot, TemplateRevision


@contextmanager
def drafting(revision: TemplateRevision) -> Iterator[None]:
    """Take the revision back into draft for a while: what is released never changes. Released anew."""
    rows = TemplateRevision.objects.filter(pk=revision.pk)
    rows.update(state=TemplateRevision.State.DRAFT, released_at=None)
    revision.refresh_from_db()
    yield
    rows.update(state=TemplateRevision.State.RELEASED, released_at=timezone.now())
    revision.refresh_from_db()


def offer(part: Part, slot: str, *, rank: int) -> Slot:
    """One more candidate for a slot, by its code."""
    filled = Slot.objects.get(code=slot)
    candidate = Candidate.objects.create(slot=filled, rank=rank)
    CandidatePart.objects.create(candidate=candidate, part=part)
    return filled
