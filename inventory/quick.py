"""The quick way to keep a kit: when all of it lies free on the shelf, one trip to the database does it all.

PostgreSQL only, by a function of its own (migration 0012). It looks whether all is free, locks
the Stock rows in part order as the careful way does, looks again, and only then writes the reservation, its
lines and what they keep. If anything is short nothing is written, and nothing locked unless it became so at
this very moment; the careful way then has the word: it ends holds that are over, and looks at deliveries.

Its statements follow each other without a trip to us between them, so between the lock of a part that
everybody wants and the commit lies the audit entry alone, and those who wait for the row wait shortly. Each
sees the rows as they are by then: a single statement that both locks and judges was seen to judge some of
them as they were before it waited. Nothing here reads old reservations: a hold costs the same however many
there were before.
"""

from collections.abc import Iterable, Mapping

from django.db import connection

from .alerting import look_after_commit
from .models import Reservation
from .prepared import run

_KEEP = """
SELECT reservation, kept_at, concerned FROM inventory_keep_from_shelf(
    %s::text, %s::text::bigint[], %s::text::bigint[], %s::text, %s::timestamptz, %s::date
)
"""


def keep_from_shelf(wants: Mapping[int, int], reservation: Reservation) -> bool:
    """Save `reservation` with all of `wants` kept from stock on hand; False, and nothing is written, if not.

    Runs in the caller's transaction. The same call says which of the parts buying is to look at after it.
    """
    if connection.vendor != "postgresql":
        return False
    made = run(
        _KEEP,
        (
            str(reservation.kind),
            _array(wants),
            _array(wants.values()),
            reservation.reference,
            reservation.until,
            reservation.wanted_on,
        ),
    )
    if made is None or made[0] is None:
        return False
    reservation.pk, reservation.made_at, concerned = made
    look_after_commit(concerned or ())
    reservation._state.adding, reservation._state.db = False, connection.alias
    return True


def _array(numbers: Iterable[int]) -> str:
    return f"{{{','.join(map(str, numbers))}}}"
