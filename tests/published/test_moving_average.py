"""Moving weighted average cost, as bookkeeping teaches it.

Common practice, no source: the perpetual weighted-average method (IAS 2, Inventories, paragraph 27, names it
as "weighted average cost ... calculated as each additional shipment is received"; the wording is from
memory). The examples are of the kind that every textbook of bookkeeping has; their figures are ours, worked
by hand.
"""

from decimal import Decimal

from inventory.costing import at_average, leaving, share_out


def test_each_receipt_makes_a_new_average() -> None:
    """100 at 10.00 and 50 at 13.00 are 150 at 11.00; 60 go for 660; 30 at 15.00 make 120 at 12.00."""
    on_hand, value = 100 + 50, Decimal("1000.00") + Decimal("650.00")
    assert at_average(value, on_hand, 1) == Decimal("11.00")
    sold = leaving(value, on_hand, 60)
    assert sold == Decimal("660.00")
    on_hand, value = on_hand - 60 + 30, value - sold + 30 * Decimal("15.00")
    assert (on_hand, value) == (120, Decimal("1440.00"))
    assert at_average(value, on_hand, 1) == Decimal("12.00")


def test_an_average_that_does_not_come_out_even() -> None:
    """3 for 10.00: one goes for 3.3333, then one for 3.3334 (half of 6.6667), and the last for 3.3333."""
    value, gone = Decimal("10.00"), []
    for on_hand in (3, 2, 1):
        gone.append(leaving(value, on_hand, 1))
        value -= gone[-1]
    assert gone == [Decimal("3.3333"), Decimal("3.3334"), Decimal("3.3333")]
    assert value == 0


def test_freight_is_shared_by_value_into_the_landed_cost() -> None:
    """Lines of 300.00 and 100.00 with 20.00 freight land at 315.00 and 105.00."""
    lines = [Decimal("300.00"), Decimal("100.00")]
    landed = [line + share for line, share in zip(lines, share_out(Decimal("20.00"), lines), strict=True)]
    assert landed == [Decimal("315.00"), Decimal("105.00")]
