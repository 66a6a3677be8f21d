"""What was asked of the shop is written down by the acts themselves, and read for planning."""

from datetime import date, datetime, timedelta
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.acting import ActError, NotAllowed
from inventory.assembling import make_up, take_apart
from inventory.demand import daily_rates, known_demand, mark_one_off, monthly, told_apart
from inventory.demand.recording import Asked, came_back, missed, shipped
from inventory.in_columns import in_columns
from inventory.models import Demand, Makeup, MonthlyDemand, Part, Supersession
from tests.clerks import Clerk
from tests.inventory.builders import a_bin, a_part, put
from tests.inventory.demand_rows import demand

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

MARCH, APRIL, MAY = date(2031, 3, 17), date(2031, 4, 2), date(2031, 5, 30)
JUNE = date(2031, 6, 1)


def month(day: date) -> date:
    return day.replace(day=1)


def in_a_kit(part: Part, quantity: int, **more: Any) -> Asked:
    given: dict[str, Any] = {"part_id": part.pk, "quantity": quantity, "kit": "belt", "kits": 1}
    return Asked(**{**given, "reference": "S1/1"} | more)


def rows() -> list[tuple[Any, ...]]:
    fields = ("part", "kind", "quantity", "kit", "kits", "reference", "first_choice")
    return list(Demand.objects.order_by("pk").values_list(*fields))


def sold(part: Part, **options: Any) -> dict[date, int]:
    return monthly([part.pk], MARCH, JUNE, **options).get(part.pk, {})


def test_what_was_kept_beyond_the_kits_was_sold_loose() -> None:
    ring, bolt, seal = a_part(), a_part(), a_part()
    kits = [
        in_a_kit(ring, 1),
        in_a_kit(bolt, 4, first_choice_id=seal.pk),
        in_a_kit(bolt, 4, reference="S1/2"),
    ]
    shipped({ring.pk: 1, bolt.pk: 10, seal.pk: 2}, kits, "S1", MARCH)
    assert rows() == [
        (ring.pk, "kit", 1, "belt", 1, "S1/1", None),
        (bolt.pk, "kit", 4, "belt", 1, "S1/1", seal.pk),
        (bolt.pk, "kit", 4, "belt", 1, "S1/2", None),
        (bolt.pk, "loose", 2, "", 0, "S1", None),
        (seal.pk, "loose", 2, "", 0, "S1", None),
    ]


def test_what_comes_back_comes_off_the_month_of_its_sale() -> None:
    bolt = a_part()
    shipped({bolt.pk: 4}, [], "S1", MARCH)
    shipped({bolt.pk: 9}, [], "S2", APRIL)
    came_back(bolt.pk, 3, "S1", sold_on=MARCH, day=MAY)
    assert sold(bolt) == {month(MARCH): 1, month(APRIL): 9}
    table = known_demand(JUNE, part_ids=[bolt.pk])
    assert table.values.tolist() == [[1, 9, 0]]
    # What was not back by then was not known to be.
    assert known_demand(MAY - timedelta(days=1), part_ids=[bolt.pk]).values.tolist() == [[4, 9]]


def test_each_kit_is_given_back_only_what_went_out_in_it() -> None:
    bolt, other = a_part(), a_part()
    kits = [in_a_kit(bolt, 4), in_a_kit(bolt, 2, reference="S1/2", first_choice_id=other.pk)]
    shipped({bolt.pk: 7}, kits, "S1", MARCH)
    shipped({bolt.pk: 7}, [in_a_kit(bolt, 7, reference="S10/1")], "S10", MARCH)
    for pieces in (3, 3, 1):
        came_back(bolt.pk, pieces, "S1", sold_on=MARCH, day=MAY)
    back = Demand.objects.filter(kind="return")
    by_sale: dict[tuple[str, int | None], int] = {}
    for reference, first_choice, quantity in back.values_list("reference", "first_choice", "quantity"):
        by_sale[reference, first_choice] = by_sale.get((reference, first_choice), 0) + quantity
    assert by_sale == {("S1/1", None): 4, ("S1/2", other.pk): 2, ("S1", None): 1}
    assert sold(bolt) == {month(MARCH): 7}


def made_of(*components: tuple[Part, int]) -> Part:
    kit = a_part(name="Seal kit")
    for component, quantity in components:
        Makeup.objects.create(part=kit, component=component, quantity=quantity)
    return kit


def test_the_workshop_asks_for_components_and_the_customer_for_what_is_made_up(clerk: Clerk) -> None:
    ring, bolt = put(a_part(), 5), put(a_part(), 9)
    kit = made_of((ring, 1), (bolt, 2))
    make_up(clerk("floor"), kit, 3, a_bin(5))
    shipped({kit.pk: 1}, [], "S1", timezone.localdate())
    take_apart(clerk("floor"), kit, 1, a_bin(5), a_bin(6))
    today = timezone.localdate()
    found = monthly(None, today, today + timedelta(days=1))
    assert {part: sum(of.values()) for part, of in found.items()} == {kit.pk: 1, ring.pk: 2, bolt.pk: 4}
    assert [row[1:3] for row in rows()] == [
        ("work", 3), ("work", 6), ("loose", 1), ("return", 1), ("return", 2)
    ]  # fmt: skip


def test_what_was_never_made_up_here_was_no_demand_when_it_is_taken_apart(clerk: Clerk) -> None:
    ring = a_part()
    kit = put(made_of((ring, 1)), 2, a_bin(5))
    shipped({ring.pk: 4}, [], "S1", timezone.localdate())
    take_apart(clerk("floor"), kit, 2, a_bin(5), a_bin(6))
    assert [row[1] for row in rows()] == ["loose"]


def usual(part: Part, *, times: int = 7, quantity: int = 2) -> None:
    for number in range(times):
        shipped({part.pk: quantity}, [], f"S{number}", MARCH - timedelta(days=number))


def test_an_order_far_above_all_others_is_marked_as_it_is_written_down() -> None:
    clamp, new = a_part(), a_part()
    usual(clamp)
    shipped({clamp.pk: 10, new.pk: 60}, [], "S98", MARCH)
    missed([in_a_kit(clamp, 11)], APRIL)
    marked = Demand.objects.filter(one_off=True)
    assert list(marked.values_list("part", "quantity", "kind")) == [(clamp.pk, 11, "lost")]
    shipped({clamp.pk: 96}, [], "S99", APRIL)
    assert sold(clamp)[month(APRIL)] == 96
    assert month(APRIL) not in sold(clamp, one_offs=False)


def test_buying_knows_better_and_what_came_back_goes_with_the_sale(clerk: Clerk) -> None:
    clamp = a_part()
    usual(clamp)
    shipped({clamp.pk: 96}, [], "S99", APRIL)
    came_back(clamp.pk, 6, "S99", sold_on=APRIL, day=MAY)
    large, back = Demand.objects.get(quantity=96), Demand.objects.get(kind="return")
    assert (large.one_off, back.one_off) == (True, True)
    for yes in (False, False, True):
        assert mark_one_off(clerk("buying"), large, yes).one_off is yes
        back.refresh_from_db()
        assert back.one_off is yes
        assert (sold(clamp, one_offs=False).get(month(APRIL), 0), sold(clamp)[month(APRIL)]) == (
            0 if yes else 90,
            90,
        )
    with pytest.raises(ActError, match="mark the sale") as refused:
        mark_one_off(clerk("buying"), back, False)
    assert refused.value.code == "is-a-return"
    with pytest.raises(NotAllowed):
        mark_one_off(clerk("counter"), large, True)


def test_both_tables_are_read_and_months_on_record_show_since_when_a_part_is_sold() -> None:
    ring, new = a_part(), a_part()
    for at, quantity in ((date(2031, 1, 1), 0), (date(2031, 2, 1), 5), (month(MARCH), 3)):
        MonthlyDemand.objects.create(part=ring, month=at, quantity=quantity)
    demand(ring, quantity=4)
    demand(new, day=MAY)
    table = known_demand(JUNE)
    assert table.parts == (ring.pk, new.pk)
    assert table.periods[0] == date(2031, 1, 1)
    np.testing.assert_array_equal(table.values, [[0, 5, 7, 0, 0], [np.nan] * 4 + [1]])
    assert sold(ring) == {month(MARCH): 7}


def test_a_part_that_lies_on_the_shelf_is_on_sale_and_a_new_one_is_not() -> None:
    today = timezone.localdate()
    later = (today.replace(day=1) + timedelta(days=70)).replace(day=1)
    lying, new = put(a_part(), 1), a_part()
    table = known_demand(later, part_ids=[new.pk, lying.pk])
    assert table.parts == tuple(sorted([lying.pk, new.pk]))
    row = dict(zip(table.parts, table.values, strict=True))
    assert (row[lying.pk] == 0).all() and len(table.periods) == 2
    assert np.isnan(row[new.pk]).all()


def test_a_superseded_part_leaves_its_history_to_the_last_of_its_line() -> None:
    old, middle, last = a_part(), a_part(), a_part()
    Supersession.objects.create(old=old, new=middle, since=MARCH)
    Supersession.objects.create(old=middle, new=last, since=APRIL)
    MonthlyDemand.objects.create(part=old, month=month(MARCH), quantity=2)
    demand(middle, day=APRIL, quantity=3)
    # In the place of one of its own line: that is no other part's custom.
    demand(last, day=MAY, quantity=4, first_choice=old)
    table = known_demand(JUNE, part_ids=[last.pk], stand_ins=False)
    assert (table.parts, table.values.tolist()) == ((last.pk,), [[2, 3, 4]])
    assert known_demand(JUNE, part_ids=[old.pk]).parts == ()
    assert [period.asked_for for period in told_apart(last.pk, JUNE)] == [2, 3, 4]
    assert told_apart(old.pk, JUNE) == []
    # Before it was superseded it stood for itself.
    assert known_demand(MARCH - timedelta(days=1), part_ids=[old.pk]).parts == (old.pk,)


def test_what_is_left_out_is_told_apart() -> None:
    ring, other = a_part(), a_part()
    MonthlyDemand.objects.create(part=ring, month=month(MARCH), quantity=1)
    demand(ring, quantity=2, kind="kit", kit="belt", kits=1, reference="S1/1", first_choice=other)
    demand(ring, quantity=30, one_off=True)
    demand(ring, quantity=5, kind="work")
    demand(ring, quantity=7, kind="lost")
    demand(
        ring, quantity=1, kind="return", day=APRIL, kit="belt", kits=1, reference="S1/1", first_choice=other
    )
    (march, april) = told_apart(ring.pk, MAY)
    assert (march.first_day, april.asked_for) == (month(MARCH), 0)
    assert (march.in_kits, march.loose, march.work, march.by_month, march.came_back) == (2, 30, 5, 1, 1)
    assert (march.lost, march.one_off, march.stand_in, march.asked_for) == (7, 30, 1, 44)
    for left_out, rest in (("lost", 37), ("one_offs", 14), ("stand_ins", 43)):
        options: dict[str, Any] = {left_out: False}
        assert known_demand(MAY, part_ids=[ring.pk], **options).values[0, 0] == rest


def test_weeks_begin_on_monday() -> None:
    ring = a_part()
    for day in (16, 17, 23, 24):
        demand(ring, day=date(2031, 3, day))
    table = known_demand(date(2031, 3, 31), every="week", part_ids=[ring.pk])
    assert table.periods == (date(2031, 3, 10), date(2031, 3, 17), date(2031, 3, 24))
    assert table.values.tolist() == [[1, 2, 1]]


def test_the_pace_is_that_of_twelve_whole_months_or_since_the_first_sale() -> None:
    now = datetime(2031, 6, 17, 12, tzinfo=timezone.get_default_timezone())
    old, new, gone = a_part(), a_part(), a_part()
    demand(old, day=date(2029, 1, 1))
    demand(old, day=date(2030, 6, 1), quantity=24)
    demand(old, day=date(2031, 6, 1), quantity=50)
    demand(new, day=MAY, quantity=31)
    demand(new, day=MAY, quantity=99, one_off=True)
    demand(gone, kind="lost")
    rates = daily_rates([old.pk, new.pk, gone.pk], now)
    assert rates == {old.pk: Fraction(24, 365), new.pk: Fraction(31 * 12, 365)}


def test_very_many_parts_take_no_more_questions_than_one(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    for count, named in ((1, 1000), (7, 1000), (7, 3)):
        monkeypatch.setattr("inventory.demand.columns.MOST_NAMED", named)
        monkeypatch.setattr("inventory.demand.reading.MOST_NAMED", named)
        parts = [a_part() for _ in range(count)]
        others = a_part()
        for part in (*parts, others):
            demand(part, quantity=3, reference="S1")
            demand(part, kind="return", reference="S1")
        with CaptureQueriesContext(
            connection,
        ) as queries:
            table = known_demand(APRIL.replace(day=1), part_ids=[part.pk for part in parts])
        assert table.values.tolist() == [[2]] * count
        asked.append(len(queries))
    assert len(set(asked)) == 1 and asked[0] < 10


def test_columns_are_the_rows() -> None:
    ring = a_part()
    for day in (MARCH, date(1987, 2, 28), date(2031, 12, 31)):
        demand(ring, day=day, quantity=day.day, one_off=day == MARCH)
    rows = Demand.objects.filter(part=ring, reference="")
    quantities, days = in_columns(rows, ["quantity"], ["day"])
    read = zip(map(date.fromordinal, days.tolist()), quantities.tolist(), strict=True)
    assert sorted(read) == sorted((row.day, row.quantity) for row in rows)
    assert [column.tolist() for column in in_columns(rows.none(), ["quantity"], ["day"])] == [[], []]
