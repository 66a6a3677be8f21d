"""Money against section 12 of the checks: half up to the cent, tax once per rate on the total.

Sources: commercial rounding as the counterpart of IEEE 754 half-even (values are own, worked out by
exact decimal arithmetic); EN 16931-1, rules BR-CO-10, -13, -14, -15, -17 and BR-DEC (rule texts; the
numbers are own).
"""

from decimal import Decimal

import pytest

from shop.money import line_net, to_cent, total

# K12-V01. Common commercial rounding: ties go away from zero.
HALF_UP = [
    ("2.675", "2.68"),
    ("2.665", "2.67"),
    ("0.125", "0.13"),
    ("0.135", "0.14"),
    ("-1.005", "-1.01"),
    ("1.0049", "1.00"),
]


@pytest.mark.parametrize(("amount", "cents"), HALF_UP)
def test_a_tie_is_rounded_away_from_zero(amount: str, cents: str) -> None:
    assert to_cent(Decimal(amount)) == Decimal(cents)


def test_a_float_is_refused_because_it_has_lost_the_tie() -> None:
    with pytest.raises(TypeError, match="Decimal"):
        to_cent(2.675)  # type: ignore[arg-type]  # what the test is about


def lines(*given: tuple[int, str, str]) -> list[tuple[Decimal, Decimal]]:
    return [(line_net(quantity, Decimal(price)), Decimal(percent)) for quantity, price, percent in given]


def test_tax_is_worked_out_per_rate_on_the_total() -> None:
    # K12-V02. EN 16931-1: BR-CO-10, BR-CO-13, BR-CO-14, BR-CO-15, BR-CO-17.
    priced = lines((3, "1.15", "19"), (7, "0.33", "19"), (1, "12.34", "19"), (1, "0.02", "7"))
    assert [net for net, _ in priced] == [Decimal(net) for net in ("3.45", "2.31", "12.34", "0.02")]
    sums = total(priced)
    assert [(share.percent, share.taxable, share.tax) for share in sums.shares] == [
        (Decimal(7), Decimal("0.02"), Decimal("0.00")),
        (Decimal(19), Decimal("18.10"), Decimal("3.44")),
    ]
    assert (sums.net, sums.tax, sums.gross) == (Decimal("18.12"), Decimal("3.44"), Decimal("21.56"))


def test_many_small_lines_do_not_round_up_one_by_one() -> None:
    # K12-V03. EN 16931-1, as above; per line the tax would add up to 0.15.
    priced = lines(*[(1, "0.13", "21")] * 5)
    per_line = sum((to_cent(net * percent / 100) for net, percent in priced), Decimal(0))
    sums = total(priced)
    assert per_line == Decimal("0.15")
    assert (sums.net, sums.tax, sums.gross) == (Decimal("0.65"), Decimal("0.14"), Decimal("0.79"))


def test_a_credit_is_rounded_like_the_charge_that_it_takes_back() -> None:
    # K12-V04. Half away from zero; one rule for charges and credits. Numbers are own.
    credit, charge = total([(Decimal("-12.90"), Decimal(5))]), total([(Decimal("12.90"), Decimal(5))])
    assert credit.tax == Decimal("-0.65") == -charge.tax


def test_nothing_sold_costs_nothing() -> None:
    assert total([]).gross == 0
