"""The shop's own acts, asked for in plain JSON as over the web, and what they tell in answer."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.contrib.auth.models import User
from django.utils import timezone

from inventory.models import AuditEntry
from tests.soak.premises import Premises
from tests.soak.reading import read

from . import counting, floor, goods, keeping, walks
from .done import Args, Done

PERFORMED: Mapping[str, Callable[[User, Premises, Args, str], Done]] = {
    "hold": keeping.hold,
    "commit": keeping.commit,
    "commit_before_holds": keeping.commit_before_holds,
    "make_commitment": keeping.make_commitment,
    "prolong": keeping.prolong,
    "change": keeping.change,
    "release": keeping.release,
    "cancel": walks.cancel,
    "order": goods.order,
    "slip": goods.slip,
    "receive": goods.receive,
    "receive_over": goods.receive,
    "receive_spoilt": goods.receive,
    "close_short": goods.close_short,
    "report": goods.report,
    "settle": goods.settle,
    "charge_late": goods.charge_late,
    "walk": walks.walk,
    "pick": walks.pick,
    "put_back": walks.put_back,
    "not_there": walks.not_there,
    "give_up": walks.give_up,
    "ship": walks.ship,
    "take_back": floor.take_back,
    "make_up": floor.make_up,
    "take_apart": floor.take_apart,
    "put_away": floor.put_away,
    "scrap": floor.scrap,
    "count": counting.count,
    "recount": counting.recount,
    "approve": counting.approve,
    "refuse": counting.refuse,
}


def perform(user: User, premises: Premises, key: str, kind: str, args: Args) -> tuple[int, dict[str, Any]]:
    """Do it, and answer with all that `steps.Step` needs to know. Runs inside the answer's transaction."""
    began = timezone.now()
    before = _last_entry(user)
    done = PERFORMED[kind](user, premises, args, key)
    entries = AuditEntry.objects.filter(user=user, pk__gt=before).order_by("pk")
    return 200, {
        "kind": kind,
        "args": args,
        "told": done.told,
        "audit": list(entries.values_list("pk", flat=True)),
        "began": began.isoformat(),
        "ended": timezone.now().isoformat(),
        "read": read(done.parts),
    }


def _last_entry(user: User) -> int:
    last = AuditEntry.objects.filter(user=user).order_by("-pk").values_list("pk", flat=True).first()
    return last or 0
