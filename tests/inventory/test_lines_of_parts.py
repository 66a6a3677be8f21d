"""Lines of parts that came in place of one another: who carries whose history, and no line is a circle."""

from datetime import date, datetime, timedelta
from fractions import Fraction

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.alerting import look_again
from inventory.demand import daily_rates, known_demand
from inventory.demand.reading import predecessors, superseded
from inventory.models import Alert, MonthlyDemand, Part, Supersession, Target
from tests.inventory.builders import a_part, an_offer, put, today
from tests.inventory.demand_rows import demand

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]

NOW = datetime(2031, 6, 17, 12, tzinfo=timezone.get_default_timezone())
TODAY = NOW.date()


def supersede(old: Part, new: Part, since: date = date(2031, 1, 1)) -> None:
    Supersession.objects.create(old=old, new=new, since=since)


def test_a_new_part_goes_at_the_pace_of_those_that_it_came_in_place_of() -> None:
    first, second, third = a_part(), a_part(), a_part()
    supersede(first, second)
    supersede(second, third)
    demand(first, day=date(2030, 7, 1), quantity=20)
    demand(second, day=date(2031, 3, 1), quantity=3)
    demand(third, day=date(2031, 5, 1), quantity=1)
    rates = daily_rates([third.pk], NOW)
    assert rates == {third.pk: Fraction(24 * 12, 11 * 365)}
    # What is left of the others goes at its own.
    assert daily_rates([second.pk, third.pk], NOW) == rates | {second.pk: Fraction(3 * 12, 3 * 365)}


def test_nobody_carries_history_before_the_day() -> None:
    old, new = a_part(), a_part()
    supersede(old, new, TODAY + timedelta(days=1))
    demand(old, day=date(2031, 3, 1))
    assert daily_rates([new.pk], NOW) == {} and predecessors([new.pk], TODAY) == {}
    assert predecessors([new.pk], TODAY + timedelta(days=1)) == {new.pk: {old.pk}}


def test_a_successor_that_will_run_out_is_warned_of_though_it_never_sold() -> None:
    old, new = a_part(), put(a_part(), 5)
    supersede(old, new, today())
    an_offer(new, lead_days=21)
    Target.objects.create(part=new, reorder_at=2, up_to=40, why="test")
    month = today().replace(day=1)
    for _ in range(12):
        month = (month - timedelta(days=1)).replace(day=1)
        MonthlyDemand.objects.create(part=old, month=month, quantity=30)
    (alert,) = look_again([new.pk], timezone.now())
    assert alert.cause == Alert.Cause.RUNS_OUT


def test_a_part_that_was_taken_up_again_carries_the_line() -> None:
    first, second = a_part(), a_part()
    supersede(first, second, date(2029, 1, 1))
    supersede(second, first, date(2031, 1, 1))
    demand(second, day=date(2031, 3, 1))
    assert superseded(date(2030, 1, 1)) == {first.pk: second.pk}
    assert superseded(TODAY) == {second.pk: first.pk}
    assert predecessors([first.pk, second.pk], TODAY) == {first.pk: {second.pk}}
    assert known_demand(TODAY).parts == (first.pk,)


def test_a_line_that_would_come_back_to_itself_is_refused() -> None:
    first, second, third = a_part(), a_part(), a_part()
    supersede(first, second)
    supersede(second, third)
    with pytest.raises(ValidationError, match="itself in the end: take that out first"):
        Supersession(old=third, new=first, since=TODAY).full_clean()
    Supersession(old=third, new=a_part(), since=TODAY).full_clean()
    Supersession.objects.get(old=first).full_clean()
