"""`manage.py demand` writes what `manage.py backtest` reads."""

from datetime import date
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from inventory.models import AlternateNumber, Supersession
from inventory.planning.backtest.files import read_table
from tests.inventory.builders import a_part
from tests.inventory.demand_rows import demand

pytestmark = [pytest.mark.django_db, pytest.mark.main_job]


def said(*arguments: str, **options: Any) -> str:
    out, err = StringIO(), StringIO()
    call_command("demand", *arguments, until="2031-06-01", stdout=out, stderr=err, **options)
    return out.getvalue() + err.getvalue()


def test_a_line_for_each_month_and_a_column_for_each_part_that_was_on_sale() -> None:
    ring, seal = a_part("TF-1"), a_part("TF-2")
    a_part("TF-3")
    demand(ring, quantity=4)
    demand(seal, day=date(2031, 5, 2), quantity=2)
    maker = ring.maker.code
    table = f"month,{maker} TF-1,{maker} TF-2\n2031-03,4,\n2031-04,0,\n2031-05,0,2\n"
    assert said() == table
    assert said("--part", "tf-1", "--part", f"{maker} TF-2") == table
    read = read_table(StringIO(table))
    assert (read.months, read.values[0, 0]) == (("2031-03", "2031-04", "2031-05"), 4)


def test_weeks_are_named_by_their_monday() -> None:
    demand(a_part("TF-1"), day=date(2031, 5, 29))
    assert said("--every", "week").splitlines()[1:] == []
    demand(a_part("TF-2"), day=date(2031, 5, 24))
    assert said("--every", "week").splitlines()[1] == "2031-05-19,1"


def test_some_of_it_is_left_out_on_request() -> None:
    ring, other = a_part("TF-1"), a_part("TF-2")
    demand(ring, quantity=1, day=date(2031, 5, 1))
    demand(ring, quantity=2, day=date(2031, 5, 1), kind="lost")
    demand(ring, quantity=4, day=date(2031, 5, 1), one_off=True)
    demand(ring, quantity=8, day=date(2031, 5, 1), first_choice=other)
    for without, rest in (("", 15), ("lost", 13), ("one-offs, lost", 9), ("stand-ins,one-offs,lost", 1)):
        assert said("--part", "TF-1", "--without", without).splitlines()[1] == f"2031-05,{rest}"


def test_a_superseded_part_is_sent_to_its_successor() -> None:
    old, new = a_part("TF-1"), a_part("TF-2")
    Supersession.objects.create(old=old, new=new, since=date(2031, 1, 1))
    demand(old, day=date(2031, 5, 1))
    assert "its demand is in the column of its successor" in said("--part", "TF-1")
    assert said("--part", "TF-2").splitlines()[1] == "2031-05,1"


def test_a_part_is_found_by_another_number_and_two_are_told_apart() -> None:
    ring = a_part("TF-1")
    AlternateNumber.objects.create(part=ring, number="4006381333931", kind="barcode")
    demand(ring, day=date(2031, 5, 1))
    assert said("--part", "4006381333931").splitlines()[1] == "2031-05,1"
    a_part("TF-1", maker="Other Works")
    with pytest.raises(CommandError, match="put the maker's code before it"):
        said("--part", "TF-1")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--part", "nothing"], "No part is numbered 'nothing'"),
        (["--without", "returns"], "Nothing is called returns"),
        (["--until", "tomorrow"], "'tomorrow' is no day"),
    ],
)
def test_what_makes_no_sense_is_refused(arguments: list[str], message: str) -> None:
    with pytest.raises(CommandError, match=message):
        call_command("demand", *arguments, stdout=StringIO())


def test_the_backtest_takes_it(tmp_path: Path) -> None:
    parts = a_part("TF-1"), a_part("TF-2")
    for month in range(1, 13):
        for year in (2028, 2029, 2030):
            for part in parts:
                demand(part, day=date(year, month, 9), quantity=month % 4 + 1)
    table = tmp_path / "demand.csv"
    table.write_text(said())
    out = StringIO()
    call_command("backtest", str(table), stdout=out)
    assert out.getvalue().startswith("2 parts in ")
