"""What suppliers are late with, and the act of asking them for it."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.contrib.auth.models import User
from django.db.models import F
from django.utils import timezone

from inventory.acting import ActError, Conflict, act
from inventory.models import PurchaseLine, PurchaseOrder, Reminder, Supplier
from inventory.post import write_reminder_letter


@dataclass(frozen=True)
class LateLine:
    """What is still to come on a line after its day; `asked` is when the supplier was asked last."""

    line: PurchaseLine
    left: int
    days: int
    asked: Reminder | None


@dataclass(frozen=True)
class LateLines:
    """What one supplier is late with, the latest first."""

    supplier: Supplier
    lines: tuple[LateLine, ...]


def late_lines(now: datetime) -> list[LateLines]:
    """By supplier what is overdue, whoever is late longest first."""
    today = timezone.localdate(now)
    lines = PurchaseLine.objects.filter(
        order__state=PurchaseOrder.State.SENT, quantity__gt=F("received"), due__lt=today
    )
    lines = lines.select_related("order__supplier", "part__maker").prefetch_related("reminders__by")
    found: dict[Supplier, list[LateLine]] = defaultdict(list)
    for line in lines.order_by("due", "pk"):
        asked = next(iter(line.reminders.all()), None)
        late = LateLine(line, line.quantity - line.received, (today - line.due).days, asked)
        found[line.order.supplier].append(late)
    return [LateLines(supplier, tuple(late)) for supplier, late in found.items()]


@act("inventory.buy")
def remind(user: User, lines: Sequence[PurchaseLine], note: str) -> list[Reminder]:
    """Ask the suppliers where these lines stay: a note on each, and a letter for each order.

    Once a day for a line. Raises ActError "nothing-wanted", "note-needed" or "asked-today", and Conflict for
    a line that was not sent or has come.
    """
    now = timezone.now()
    if not note.strip():
        raise ActError("Say what is asked, or by whom and how.", code="note-needed")
    wanted = _locked_lines(lines)
    today = _asked_on(timezone.localdate(now), wanted)
    if today:
        said = "; ".join(str(line) for line in wanted if line.pk in today)
        raise ActError(f"Asked for today already: {said}. Leave it until tomorrow.", code="asked-today")
    reminders = [
        Reminder.objects.create(line=line, at=now, by=user, note=note.strip()[:200]) for line in wanted
    ]
    by_order: dict[int, list[PurchaseLine]] = defaultdict(list)
    for line in wanted:
        by_order[line.order_id].append(line)
    for some in by_order.values():
        write_reminder_letter(some[0].order, some, note.strip(), now)
    return reminders


def _locked_lines(lines: Sequence[PurchaseLine]) -> list[PurchaseLine]:
    if not lines:
        raise ActError("Name at least one line.", code="nothing-wanted")
    rows = PurchaseLine.objects.select_for_update(of=("self",)).select_related(
        "order__supplier", "part__maker"
    )
    wanted = list(rows.filter(pk__in=[line.pk for line in lines]).order_by("pk"))
    for line in wanted:
        if line.order.state != PurchaseOrder.State.SENT or line.received >= line.quantity:
            raise Conflict(f"There is nothing to wait for: {line}. Leave it out.")
    return wanted


def _asked_on(day: date, lines: Sequence[PurchaseLine]) -> set[int]:
    asked = Reminder.objects.filter(line__in=[line.pk for line in lines]).order_by("-pk")
    return {one.line_id for one in asked[: 10 * len(lines)] if timezone.localdate(one.at) == day}
