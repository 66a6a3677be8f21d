"""The statements behind `inventory.checking`: for each kept figure, what is kept and what the records say.

A figure is two selects with the same keys, put together by `statement`: rows of both are added up by key,
and those that differ are returned. Plain SQL, for PostgreSQL and SQLite alike: the one pass over the
movements is written once, in `moved`, and every figure of the ledger is taken from it.
"""

from dataclasses import dataclass

KEYS = ("part", "place", "lot", "purchase_line", "correction")


@dataclass(frozen=True)
class Figure:
    """`keys` are some of KEYS. Both selects give these in their order, and then the figure."""

    what: str
    keys: tuple[str, ...]
    kept: str
    expected: str


# Value in whole steps of a ten-thousandth: a sum of SQLite's floats would not be exact.
STEPS = {
    "postgresql": "CAST(SUM({0}) * 10000 AS bigint)",
    "sqlite": "SUM(CAST(ROUND({0} * 10000) AS INTEGER))",
}
ONE_STEPS = {
    "postgresql": "CAST({0} * 10000 AS bigint)",
    "sqlite": "CAST(ROUND({0} * 10000) AS INTEGER)",
}

# `moved`: the one pass over the movements. `crossed`: what of it came in (+) or went out (-).
MOVED = """
WITH inside AS MATERIALIZED (
    SELECT id FROM inventory_place WHERE kind IN ('bin', 'dock', 'bench', 'packed')
), moved AS MATERIALIZED (
    SELECT part_id, lot_id, origin_id, destination_id,
        CASE WHEN act = 'receive' THEN purchase_line_id END AS purchase_line_id,
        SUM(quantity) AS quantity, {sum_of_value} AS steps
    FROM inventory_movement
    GROUP BY 1, 2, 3, 4, 5
), crossed AS MATERIALIZED (
    SELECT part_id, lot_id, quantity, steps FROM moved
    WHERE destination_id IN (SELECT id FROM inside) AND origin_id NOT IN (SELECT id FROM inside)
    UNION ALL
    SELECT part_id, lot_id, -quantity, -steps FROM moved
    WHERE origin_id IN (SELECT id FROM inside) AND destination_id NOT IN (SELECT id FROM inside)
)
"""

BALANCES = Figure(
    "balance",
    ("part", "place", "lot"),
    "SELECT part_id, place_id, lot_id, quantity FROM inventory_balance",
    """
    SELECT part_id, destination_id, lot_id, quantity FROM moved
    WHERE destination_id IN (SELECT id FROM inside)
    UNION ALL
    SELECT part_id, origin_id, lot_id, -quantity FROM moved WHERE origin_id IN (SELECT id FROM inside)
    """,
)
ON_HAND = Figure(
    "stock on hand",
    ("part",),
    "SELECT part_id, on_hand FROM inventory_stock",
    "SELECT part_id, quantity FROM crossed",
)
STOCK_VALUE = Figure(
    "stock value",
    ("part",),
    "SELECT part_id, {value} FROM inventory_stock",
    """
    SELECT part_id, steps FROM crossed
    UNION ALL
    SELECT part_id, {absorbed} FROM inventory_latecharge
    """,
)
LOT_ON_HAND = Figure(
    "lot on hand",
    ("lot",),
    "SELECT id, on_hand FROM inventory_lot",
    """
    SELECT lot_id, quantity FROM crossed
    WHERE lot_id IS NOT NULL AND part_id IN (SELECT id FROM inventory_part WHERE costing = 'lot')
    """,
)
LOT_VALUE = Figure(
    "lot value",
    ("lot",),
    "SELECT id, {value} FROM inventory_lot",
    """
    SELECT lot_id, steps FROM crossed
    WHERE lot_id IS NOT NULL AND part_id IN (SELECT id FROM inventory_part WHERE costing = 'lot')
    UNION ALL
    SELECT lot_id, {absorbed} FROM inventory_latecharge WHERE lot_id IS NOT NULL
    """,
)
RECEIVED = Figure(
    "received",
    ("purchase_line",),
    "SELECT id, received FROM inventory_purchaseline",
    "SELECT purchase_line_id, quantity FROM moved WHERE purchase_line_id IS NOT NULL",
)
OF_MOVEMENTS = (BALANCES, ON_HAND, STOCK_VALUE, LOT_ON_HAND, LOT_VALUE, RECEIVED)

# `kept_lines`: what live reservations keep, lapsed ones that nobody has swept up yet among them.
KEPT = """
WITH kept_lines AS MATERIALIZED (
    SELECT line.part_id, line.purchase_line_id, r.kind, SUM(line.quantity) AS quantity
    FROM inventory_reservationline line JOIN inventory_reservation r ON r.id = line.reservation_id
    WHERE r.state = 'kept'
    GROUP BY 1, 2, 3
)
"""
OF_RESERVATIONS = (
    Figure(
        "stock held",
        ("part",),
        "SELECT part_id, held FROM inventory_stock",
        "SELECT part_id, quantity FROM kept_lines WHERE kind = 'hold' AND purchase_line_id IS NULL",
    ),
    Figure(
        "stock committed",
        ("part",),
        "SELECT part_id, committed FROM inventory_stock",
        "SELECT part_id, quantity FROM kept_lines WHERE kind = 'commitment' AND purchase_line_id IS NULL",
    ),
    Figure(
        "reserved",
        ("purchase_line",),
        "SELECT id, reserved FROM inventory_purchaseline",
        "SELECT purchase_line_id, quantity FROM kept_lines WHERE purchase_line_id IS NOT NULL",
    ),
)
OF_WALKS = (
    Figure(
        "allotted",
        ("part", "place", "lot"),
        "SELECT part_id, place_id, lot_id, allotted FROM inventory_balance WHERE allotted <> 0",
        """
        SELECT part_id, place_id, lot_id, quantity - picked - let_go FROM inventory_walkstop
        WHERE quantity > picked + let_go
        """,
    ),
)
OF_CORRECTIONS = (
    Figure(
        "change",
        ("correction",),
        "SELECT id, change FROM inventory_correction WHERE movement_id IS NOT NULL",
        # Nothing at all where the movement is of another part, lot or place.
        """
        SELECT c.id, CASE WHEN m.destination_id = c.place_id THEN m.quantity ELSE -m.quantity END
        FROM inventory_correction c JOIN inventory_movement m ON m.id = c.movement_id
        WHERE m.part_id = c.part_id AND COALESCE(m.lot_id, 0) = COALESCE(c.lot_id, 0)
            AND c.place_id IN (m.origin_id, m.destination_id)
        """,
    ),
)

# Two figures of every balance, lot and purchase line and four of every part; one of a posted correction.
FIGURES_KEPT = """
SELECT 2 * (SELECT COUNT(*) FROM inventory_balance) + 4 * (SELECT COUNT(*) FROM inventory_stock)
    + 2 * (SELECT COUNT(*) FROM inventory_lot) + 2 * (SELECT COUNT(*) FROM inventory_purchaseline)
    + (SELECT COUNT(*) FROM inventory_correction WHERE movement_id IS NOT NULL)
"""


COMPARED = """
SELECT '{what}' AS what, {every_key}, SUM(kept) AS kept, SUM(expected) AS expected
FROM (
    WITH k({keys}, figure) AS ({kept}), e({keys}, figure) AS ({expected})
    SELECT {keys}, figure AS kept, 0 AS expected FROM k
    UNION ALL
    SELECT {keys}, 0, figure FROM e
) AS both_sides
GROUP BY {keys}
HAVING SUM(kept) <> SUM(expected)
"""


def statement(figures: tuple[Figure, ...], vendor: str, first: str = "") -> str:
    """One statement that returns what, part, place, lot, purchase line, correction, kept, expected.

    `first` is the MOVED or KEPT that the figures are taken from; `vendor` is Django's name of the database,
    "postgresql" or "sqlite".
    """
    filled = (first + "\nUNION ALL\n".join(_compared(figure) for figure in figures)).format(
        sum_of_value=STEPS[vendor].format("value"),
        value=ONE_STEPS[vendor].format("value"),
        absorbed=ONE_STEPS[vendor].format("absorbed"),
    )
    return f"{filled}\nORDER BY 1, 2, 3, 4, 5, 6"


def _compared(figure: Figure) -> str:
    return COMPARED.format(
        what=figure.what,
        keys=", ".join(figure.keys),
        every_key=", ".join(key if key in figure.keys else f"CAST(NULL AS bigint) AS {key}" for key in KEYS),
        kept=figure.kept,
        expected=figure.expected,
    )
