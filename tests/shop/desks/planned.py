"""What was asked of a part, for its plan to show, and the files of the plan read back."""

from __future__ import annotations

import csv
from datetime import date, timedelta
from typing import Any

from django.urls import reverse
from django.utils import timezone

from inventory.models import Demand, Part

Kind = Demand.Kind


def plan(part: Part, query: str = "") -> str:
    return reverse("part-plan", args=[part.pk]) + query


def days_ago(days: int) -> date:
    return timezone.localdate() - timedelta(days)


def asked(part: Part, quantity: int, days: int = 40, kind: str = Kind.LOOSE, **marks: Any) -> Demand:
    return Demand.objects.create(part=part, quantity=quantity, day=days_ago(days), kind=kind, **marks)


def sold_for_a_year(part: Part, quantity: int = 4) -> None:
    for days in range(400, 30, -15):
        asked(part, quantity, days)


def table(answer: Any) -> list[dict[str, str]]:
    return list(csv.DictReader(answer.getvalue().decode().splitlines()))
