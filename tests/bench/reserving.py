"""Holds of a ten-part kit per second, by the act, beside pgbench doing the same row changes."""

import re
import subprocess
import sys
import time
from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from django.contrib.auth.models import User
from django.utils import timezone

from inventory.models import Category, Maker, Movement, Part, Place, Reservation, Stock
from tests.servers import Postgres

from .table import Row

PARTS = 1000
LINES = 10
SECONDS = 4
CLIENTS = (1, 4, 16)

# The rows that a hold changes: ten stock rows locked in part order, ten updated in one statement, one
# reservation, its ten lines, and the audit entry.
SCRIPT = """
\\set first random({lowest}, {highest})
BEGIN;
SELECT * FROM inventory_stock WHERE part_id BETWEEN :first AND :first + 9 ORDER BY part_id FOR UPDATE;
UPDATE inventory_stock SET held = held + 1 WHERE part_id BETWEEN :first AND :first + 9;
WITH kept AS (
  INSERT INTO inventory_reservation (kind, state, reference, made_at, until)
  VALUES ('hold', 'kept', 'pgbench', now(), now() + interval '1 day') RETURNING id
)
INSERT INTO inventory_reservationline (reservation_id, part_id, quantity)
  SELECT kept.id, part, 1 FROM kept, generate_series(:first, :first + 9) AS part;
INSERT INTO inventory_auditentry (at, user_id, act, subject_kind, subject_id, subject, detail)
  VALUES (now(), {user}, 'reserving.hold', 'inventory.reservation', '1', 'pgbench', '{{}}');
COMMIT;
"""


def run(server: Postgres) -> list[Row]:
    user = User.objects.get(username="counter")
    first = _parts()
    rows = []
    for clients in CLIENTS:
        ours = _by_act(first, clients)
        theirs = _by_pgbench(server, first, user.pk, clients)
        rows.append(
            Row(
                f"hold a ten-part kit, {clients} clients",
                f"{ours:.0f} a second",
                f"pgbench {theirs:.0f} a second",
                f"{ours / theirs:.2f} (budget 0.50)",
            )
        )
    return rows


def _parts() -> int:
    """Parts with consecutive ids and plenty on hand, booked in as movements; returns the first id."""
    maker, _ = Maker.objects.get_or_create(code="bench", name="Bench")
    category, _ = Category.objects.get_or_create(code="bench", name="Bench")
    place, _ = Place.objects.get_or_create(code="BENCH-DOCK", kind=Place.Kind.DOCK)
    supplier, _ = Place.objects.get_or_create(kind=Place.Kind.SUPPLIER, defaults={"code": "SUPPLIERS"})
    user = User.objects.get(username="counter")
    parts = Part.objects.bulk_create(
        Part(maker=maker, number=f"B-{n:04d}", key=f"B{n:04d}", name="part", category=category, price=1)
        for n in range(PARTS)
    )
    now = timezone.now()
    Movement.objects.bulk_create(
        Movement(
            at=now, act="receive", part=part, quantity=10**6, origin=supplier, destination=place, by=user
        )
        for part in parts
    )
    Stock.objects.bulk_create(Stock(part=part, on_hand=10**6) for part in parts)
    return min(part.pk for part in parts)


def _by_act(first: int, clients: int) -> float:
    """Processes, because threads of one Python would wait for each other and not for the rows."""
    command = [sys.executable, "-m", "tests.bench.holder", str(first), str(PARTS), str(LINES), str(SECONDS)]
    running = [
        subprocess.Popen([*command, str(seed)], stdout=subprocess.PIPE, text=True) for seed in range(clients)
    ]
    return sum(float(process.communicate(timeout=120)[0]) for process in running)


def _by_pgbench(server: Postgres, first: int, user: int, clients: int) -> float:
    with TemporaryDirectory() as directory:
        script = Path(directory) / "hold.sql"
        script.write_text(SCRIPT.format(lowest=first, highest=first + PARTS - LINES, user=user))
        command = [str(server.bin / "pgbench"), "-n", "-f", str(script), "-c", str(clients)]
        command += ["-j", "2" if clients > 1 else "1", "-T", str(SECONDS), server.url]
        printed = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    found = re.search(r"tps = ([\d.]+)", printed)
    if not found:
        raise RuntimeError(f"pgbench printed no rate: {printed}")
    return float(found[1])


def hold_for(first: int, parts: int, lines: int, seconds: float, seed: int) -> float:
    """Hold random ten-part kits for so many seconds; returns holds a second. Runs in its own process."""
    import random

    from inventory.reserving import hold

    user = User.objects.get(username="counter")
    chance = random.Random(seed)
    until = timezone.now() + timedelta(days=1)
    done = 0
    started = time.perf_counter()
    while time.perf_counter() - started < seconds:
        start = first + chance.randrange(parts - lines + 1)
        reservation = hold(
            user, dict.fromkeys(range(start, start + lines), 1), until=until, reference="bench"
        )
        assert reservation.state == Reservation.State.KEPT
        done += 1
    return done / (time.perf_counter() - started)
