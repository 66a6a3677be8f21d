"""The quick way to keep a kit: when all of it lies free on the shelf, one statement does everything.

PostgreSQL only. It locks the Stock rows in part order as the careful way does, looks whether every want is
free, and only then writes the reservation, its lines and what they keep. If anything is not free it
writes nothing, and the careful way has the word: it ends holds that are over, and looks at deliveries.

Between the lock of a part that everybody wants and the commit lie one statement and the audit entry, so
those who wait for the row wait shortly; and nothing here reads old reservations, so a hold costs the same
however many there were before.
"""

from collections.abc import Mapping

import psycopg
from django.db import connection

from .models import Reservation

_KEEP = """
WITH wanted AS (
    SELECT part_id, quantity FROM unnest(%s::bigint[], %s::bigint[]) AS want (part_id, quantity)
), locked AS MATERIALIZED (
    SELECT part_id, quantity, on_hand - held - committed >= quantity AS enough
    FROM inventory_stock JOIN wanted USING (part_id) ORDER BY part_id FOR UPDATE OF inventory_stock
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

    Runs in the caller's transaction. The statement is prepared once for each connection: to plan it takes
    as long as to run it.
    """
    if connection.vendor != "postgresql":
        return False
    connection.ensure_connection()
    parts = sorted(wants)
    values = (
        parts,
        [wants[part_id] for part_id in parts],
        reservation.reference,
        reservation.until,
        reservation.wanted_on,
        len(parts),
    )
    statement = _STATEMENTS[Reservation.Kind(reservation.kind)]
    # Past Django's cursor, which writes the values into the text: a prepared statement needs them apart.
    with connection.wrap_database_errors, psycopg.Cursor(connection.connection) as cursor:
        cursor.execute(statement, values, prepare=True)
        made = cursor.fetchone()
    if made is None:
        return False
    reservation.pk, reservation.made_at = made
    reservation._state.adding, reservation._state.db = False, connection.alias
    return True
