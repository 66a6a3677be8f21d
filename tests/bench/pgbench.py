"""The same row changes as a hold or a commitment of a ten-part kit, by PostgreSQL's own pgbench.

Thrice: statement by statement, as pgbench talks by default; the same with prepared statements; and
everything in a single prepared statement that commits by itself: the most that the server can do with these
rows.
"""

import subprocess
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.servers import Postgres

from .rates import Rate
from .shelves import Shelf

LINES = 10

# The rows: ten stock rows locked in part order and changed, a reservation, its ten lines, an audit entry.
LOCK = "SELECT * FROM inventory_stock WHERE part_id = ANY ({kit}) ORDER BY part_id FOR UPDATE"
CHANGE = "UPDATE inventory_stock SET {counted} = {counted} + 1 WHERE part_id = ANY ({kit})"
KEEP = """INSERT INTO inventory_reservation (kind, state, reference, made_at, until)
 VALUES ('{kind}', 'kept', 'pgbench', now(), {until}) RETURNING id"""
WRITE_LINES = """INSERT INTO inventory_reservationline (reservation_id, part_id, quantity)
 SELECT kept.id, part, 1 FROM kept, unnest({kit}) AS part"""
AUDIT = """INSERT INTO inventory_auditentry (at, user_id, act, subject_kind, subject_id, subject, detail)
 VALUES (now(), {by}, 'reserving.{act}', 'inventory.reservation', '1', 'pgbench', '{detail}')"""
DETAIL = '{"wants": {' + ", ".join(f'"{n}": 1' for n in range(1000, 1010)) + '}, "reference": "pgbench"}'

BY_STATEMENT = """BEGIN;
{lock};
{change};
WITH kept AS ({keep}) {write_lines};
{audit};
COMMIT;
"""
IN_ONE = """WITH locked AS MATERIALIZED ({lock}), kept AS ({keep}), lines AS ({write_lines}),
audit AS ({audit})
UPDATE inventory_stock AS stock SET {counted} = stock.{counted} + 1 FROM locked
WHERE stock.part_id = locked.part_id;
"""


@dataclass(frozen=True)
class Kits:
    """Which kits are kept: ten parts in a row of the shelf; with `hot`, its first part and nine in a row."""

    shelf: Shelf
    hot: bool
    kind: str = "hold"

    @property
    def row(self) -> int:
        return LINES - 1 if self.hot else LINES

    @property
    def starts(self) -> tuple[int, int]:
        """The first and the last id at which the row may begin."""
        return self.shelf.first + (1 if self.hot else 0), self.shelf.last - self.row + 1

    def parts(self, start: int) -> list[int]:
        return [*([self.shelf.first] if self.hot else []), *range(start, start + self.row)]


def by_pgbench(
    server: Postgres,
    kits: Kits,
    clients: int,
    seconds: int,
    *,
    protocol: str = "simple",
    in_one: bool = False,
) -> Rate:
    """How many kits are kept a second, and how long each takes."""
    script = _script(kits, IN_ONE if in_one else BY_STATEMENT)
    with TemporaryDirectory() as directory:
        file = Path(directory) / "keep.sql"
        file.write_text(script)
        command = [str(server.bin / "pgbench"), "-n", "-M", protocol, "-f", str(file), "-c", str(clients)]
        command += ["-j", "2" if clients > 1 else "1", "-T", str(seconds), "-l", server.url]
        ran = subprocess.run(command, capture_output=True, text=True, check=False, cwd=directory)
        if ran.returncode:
            raise RuntimeError(f"pgbench ended with {ran.returncode}: {ran.stderr[-2000:]}")
        took = [
            int(line.split()[2]) / 1e6
            for log in Path(directory).glob("pgbench_log.*")
            for line in log.read_text().splitlines()
        ]
    return Rate(len(took) / seconds, took)


def _script(kits: Kits, statements: str) -> str:
    lowest, highest = kits.starts
    hot = f"{kits.shelf.first}, " if kits.hot else ""
    kit = f"ARRAY[{hot}{', '.join(f':start + {n}' for n in range(kits.row))}]::bigint[]"
    is_hold = kits.kind == "hold"
    for name, value in {
        "lock": LOCK,
        "change": CHANGE,
        "keep": KEEP,
        "write_lines": WRITE_LINES,
        "audit": AUDIT,
        "kit": kit,
        "kind": kits.kind,
        "counted": "held" if is_hold else "committed",
        "until": "now() + interval '1 day'" if is_hold else "NULL",
        "act": "hold" if is_hold else "commit",
        "by": str(kits.shelf.by),
        "detail": DETAIL,
    }.items():
        statements = statements.replace(f"{{{name}}}", value)
    return f"\\set start random({lowest}, {highest})\n{statements}"
