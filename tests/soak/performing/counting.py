"""The acts by which the ledger is put right."""

from __future__ import annotations

from django.contrib.auth.models import User
from django.utils import timezone

from inventory import counting, rounds
from inventory.keeping import lock_current
from inventory.models import Correction, CountLine, Part, Place
from tests.soak.premises import Premises

from .done import Args, Done


def count(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    part, place = Part.objects.get(pk=args["part"]), Place.objects.get(pk=args["place"])
    return Done(_told(counting.correct(user, part, place, args["found"], "counted")), [part.pk])


def recount(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    """What a picker found too few of is counted, as the round asks for; and nobody moves any meanwhile."""
    lock_current([args["part"]], timezone.now())
    line = rounds.enter_count(user, CountLine.objects.get(pk=args["line"]), args["found"])
    return Done(_told(Correction.objects.filter(count_line=line).first()), [line.part_id])


def approve(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    correction = counting.approve(user, Correction.objects.get(pk=args["correction"]))
    return Done({}, [correction.part_id])


def refuse(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    correction = counting.refuse(user, Correction.objects.get(pk=args["correction"]), "found again")
    return Done({}, [correction.part_id])


def _told(made: Correction | None) -> dict[str, int | bool | None]:
    if made is None:
        return {"correction": None}
    return {
        "correction": made.pk,
        "posted": made.state == Correction.State.POSTED,
    }
