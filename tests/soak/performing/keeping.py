"""The acts that keep stock for somebody."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.models import User

from inventory import reserving
from tests.soak.premises import Premises

from .done import Args, Done, keeps, parts_of, reservation_of


def hold(user: User, _premises: Premises, args: Args, key: str) -> Done:
    until = datetime.fromisoformat(args["until"])
    return keeps(reserving.hold(user, dict(args["wants"]), until=until, reference=key))


def commit(user: User, _premises: Premises, args: Args, key: str) -> Done:
    return keeps(reserving.commit(user, dict(args["wants"]), reference=key))


def commit_before_holds(user: User, _premises: Premises, args: Args, key: str) -> Done:
    kept, gave_way = reserving.commit_before_holds(user, dict(args["wants"]), reference=key)
    ids = [one.pk for one in gave_way]
    return Done({"reservation": kept.pk, "gave_way": ids}, parts_of(kept.pk, *ids))


def make_commitment(user: User, _premises: Premises, args: Args, key: str) -> Done:
    return keeps(reserving.make_commitment(user, reservation_of(args), reference=key))


def prolong(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    until = datetime.fromisoformat(args["until"])
    return keeps(reserving.prolong(user, reservation_of(args), until=until))


def change(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    return keeps(reserving.change(user, reservation_of(args), dict(args["wants"])))


def release(user: User, _premises: Premises, args: Args, _key: str) -> Done:
    released = reserving.release(user, reservation_of(args))
    return Done({"state": released.state}, parts_of(released.pk))
