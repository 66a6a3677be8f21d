"""The quick way to keep a kit: when all of it lies free on the shelf, one trip to the database does it all.

PostgreSQL only. One statement locks the Stock rows in part order as the careful way does, the next looks
whether every want is free, and only then writes the reservation, its lines and what they keep. If anything
is not free nothing is written, the locks are let go, and the careful way has the word: it ends holds that
are over, and looks at deliveries, and may need to lock more parts in their turn.

The statements are sent together, so between the lock of a part that everybody wants and the commit lies
the audit entry alone, and those who wait for the row wait shortly. Nothing here reads old reservations: a
hold costs the same however many there were before.
"""

from collections.abc import Mapping

from django.db import connection

from .models import Reservation
from .prepared import run_together

# A statement of its own: the next one begins after it, and sees the rows as they are by then. One statement
# that both locks and judges sees some of them as they were before it waited.
_LOCK = "SELECT part_id FROM inventory_stock WHERE part_id = ANY(%s) ORDER BY part_id FOR UPDATE"
_KEEP = """
WITH locked AS MATERIALIZED (
    SELECT part_id, quantity, on_hand - held - committed >= quantity AS enough
    FROM inventory_stock JOIN unnest(%s::bigint[], %s::bigint[]) AS want (part_id, quantity) USING (part_id)
), kept AS (
    INSERT INTO inventory_reservation (kind, state, reference, made_at, until, wanted_on)
    SELECT '{kind}', 'kept', %s, clock_timestamp(), %s::timestamptz, %s::date
    FROM locked HAVING count(*) = %s AND bool_and(enough) RETURNING id, made_at
), changed AS (
    UPDATE inventory_stock SET {counted} = {counted} + quantity
    FROM locked, kept WHERE inventory_stock.part_id = locked.part_id
), lines AS (
    INSERT INTO inventory_reservationline (reservation_id, part_id, quantity)
    SELECT kept.id, part_id, quantity FROM kept, locked
)
SELECT id, made_at FROM kept
"""
_STATEMENTS = {
    Reservation.Kind.HOLD: _KEEP.format(kind=Reservation.Kind.HOLD.value, counted="held"),
    Reservation.Kind.COMMITMENT: _KEEP.format(kind=Reservation.Kind.COMMITMENT.value, counted="committed"),
}


def keep_from_shelf(wants: Mapping[int, int], reservation: Reservation) -> bool:
    """Save `reservation` with all of `wants` kept from stock on hand; False, and nothing is written, if not.

    Runs in the caller's transaction.
    """
    if connection.vendor != "postgresql":
        return False
    parts = sorted(wants)
    values = (
        parts,
        [wants[part_id] for part_id in parts],
        reservation.reference,
        reservation.until,
        reservation.wanted_on,
        len(parts),
    )
    made = run_together(
        ("SAVEPOINT quick_way", ()),
        (_LOCK, [parts]),
        (_STATEMENTS[Reservation.Kind(reservation.kind)], values),
    )
    if not made:
        run_together(("ROLLBACK TO SAVEPOINT quick_way", ()))
        return False
    ((reservation.pk, reservation.made_at),) = made
    reservation._state.adding, reservation._state.db = False, connection.alias
    return True
