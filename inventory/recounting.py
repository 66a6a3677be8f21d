"""One count of one line: what the ledger said at that moment, who may count it, and when it is enough.

Plain functions under `rounds.enter_count`; they run with the Stock row of the part locked.
"""

from datetime import datetime

from django.conf import settings
from django.contrib.auth.models import User
from django.db.models import QuerySet, Sum
from django.utils import timezone

from .acting import ActError, Conflict, NotAllowed
from .corrections import Thing, booked, worth
from .models import CountEntry, CountLine, Movement, Part, Stock

CORRECTING = (Movement.Act.COUNT, Movement.Act.ADJUST)


def check_count(user: User, line: CountLine, found: int, at: datetime, now: datetime) -> None:
    """Refuse a number or a moment that cannot be, the same person twice, and a count that is overtaken."""
    serial = line.lot is not None and line.part.tracking == Part.Tracking.SERIAL
    if found < 0 or (serial and found > 1):
        most = "none or one" if serial else "none or some"
        raise ActError(f"A count finds {most} of {line.part}, not {found}.", code="bad-quantity")
    if not line.round.made_at <= at <= now:
        raise ActError(
            "A count of this round was made between "
            f"{timezone.localtime(line.round.made_at):%-d %b %Y %H:%M} and now.",
            code="bad-time",
        )
    last = line.entries.last()
    if last is not None and last.by_id == user.pk and others_may_count(user):
        raise NotAllowed(
            f"{user.get_username()} counted this last: somebody else has to count it again.",
            code="somebody-else-counts",
        )
    if _corrections(line).filter(at__gt=at).exists():
        raise Conflict(
            f"The ledger was corrected for {line.part} in {line.place} after this count. Count it again.",
            code="counted-before-correction",
        )


def enter(user: User, line: CountLine, found: int, at: datetime) -> CountEntry:
    """Write the count down beside what the ledger said at that moment.

    Tracked pieces come in by lot or serial, which a line without one cannot say: ActError "lot-needed".
    """
    expected = _expected(line, at)
    if found > expected and line.lot is None and line.part.tracking != Part.Tracking.NONE:
        raise ActError(
            f"{line.part} is tracked {line.part.get_tracking_display()}, and more of it lies in {line.place} "
            "than is booked without one. Leave this line, and write on the sheet of corrections which.",
            code="lot-needed",
        )
    return CountEntry.objects.create(line=line, found=found, expected=expected, counted_at=at, by=user)


def _expected(line: CountLine, at: datetime) -> int:
    """What lies there now, less what came since, and what went since on top."""
    since = Movement.objects.filter(part=line.part, lot=line.lot, at__gt=at)
    came = since.filter(destination=line.place).aggregate(total=Sum("quantity"))["total"] or 0
    went = since.filter(origin=line.place).aggregate(total=Sum("quantity"))["total"] or 0
    return booked(Thing(line.part, line.place, line.lot)) - came + went


def enough(stock: Stock, line: CountLine, entry: CountEntry) -> bool:
    """May the difference of this entry be believed?

    Yes, when it is small: at most SHOP_RECOUNT_PERCENT of what should be there, and worth at most half
    of SHOP_CORRECTION_LIMIT. Yes, when somebody else has found the same difference on this line before,
    whoever counted in between. Otherwise it is counted again by somebody other than the last counter, for
    as long as it takes, or the line is left. (A count that the ledger agrees with never comes here: the
    ledger is the second witness.)

    Counts from before a correction of the place do not confirm: they were compared with another ledger.
    In a shop where nobody else may count, the same person's second count confirms the first.
    """
    thing = Thing(line.part, line.place, line.lot)
    off = abs(entry.difference)
    small = off * 100 <= settings.SHOP_RECOUNT_PERCENT * entry.expected
    if small and worth(stock, thing, off) * 2 <= settings.SHOP_CORRECTION_LIMIT:
        return True
    earlier = line.entries.exclude(pk=entry.pk)
    if corrected := _corrections(line).order_by("at").last():
        earlier = earlier.filter(counted_at__gte=corrected.at)
    if others_may_count(entry.by):
        earlier = earlier.exclude(by=entry.by)
    return any(one.difference == entry.difference for one in earlier)


def first_to_find(line: CountLine, entry: CountEntry) -> User:
    """Who found this difference first: it is theirs to ask for, and whoever confirmed it may approve."""
    found = line.entries.select_related("by").filter(pk__lte=entry.pk)
    return next(one.by for one in found if one.difference == entry.difference)


def _corrections(line: CountLine) -> QuerySet[Movement]:
    """What corrected the ledger for this line's thing; such a movement moved nothing in the bin."""
    here = Movement.objects.filter(part=line.part, lot=line.lot, act__in=CORRECTING)
    return here.filter(origin=line.place) | here.filter(destination=line.place)


def others_may_count(user: User) -> bool:
    """Has the shop given somebody else the right to count?"""
    counters = User.objects.with_perm("inventory.count", is_active=True, include_superusers=False)
    return counters.exclude(pk=user.pk).exists()
