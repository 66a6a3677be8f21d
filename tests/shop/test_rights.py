"""Who may do what: every act against every desk, as a table that a person can read."""

import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from django.contrib.auth.models import AnonymousUser, User

import inventory
import kits
import shop
from inventory.acting import NotAllowed
from inventory.models import AuditEntry
from shop.roles import DESKS
from tests.clerks import Clerk

COUNTER, FLOOR, BUYING, CATALOGUE = "counter", "floor", "buying", "catalogue"

MAY: dict[str, set[str]] = {
    "inventory.alerting.quiet.snooze": {BUYING},
    "inventory.alerting.quiet.wake": {BUYING},
    "inventory.assembling.make_up": {FLOOR},
    "inventory.assembling.take_apart": {FLOOR},
    "inventory.buying.approving.approve": {BUYING},
    "inventory.buying.approving.take_back": {BUYING},
    "inventory.buying.drafting.draft_suggested": {BUYING},
    "inventory.buying.drafting.order_from_alerts": {BUYING},
    "inventory.buying.drafting.write_order": {BUYING},
    "inventory.buying.editing.add_line": {BUYING},
    "inventory.buying.editing.change_line": {BUYING},
    "inventory.buying.editing.discard": {BUYING},
    "inventory.buying.following.remind": {BUYING},
    "inventory.buying.sending.send": {BUYING},
    "inventory.counting.adjust": {FLOOR},
    "inventory.counting.approve": {BUYING},
    "inventory.counting.correct": {FLOOR},
    "inventory.counting.refuse": {BUYING},
    "inventory.counting.scrap": {FLOOR},
    "inventory.deliveries.put_away": {FLOOR, BUYING},
    "inventory.deliveries.receive": {FLOOR, BUYING},
    "inventory.demand.one_offs.mark_one_off": {BUYING},
    "inventory.differences.close_short": {BUYING},
    "inventory.differences.report": {FLOOR, BUYING},
    "inventory.differences.settle": {BUYING},
    "inventory.late_charges.charge_late": {BUYING},
    "inventory.post.count_as_sent": {BUYING},
    "inventory.post.send_again": {BUYING},
    "inventory.reserving.change": {COUNTER},
    "inventory.reserving.commit": {COUNTER},
    "inventory.reserving.commit_before_holds": {COUNTER},
    "inventory.reserving.hold": {COUNTER},
    "inventory.reserving.make_commitment": {COUNTER},
    "inventory.reserving.prolong": {COUNTER},
    "inventory.reserving.release": {COUNTER},
    "inventory.rounds.enter_count": {FLOOR, BUYING},
    "inventory.rounds.leave_line": {FLOOR, BUYING},
    "inventory.rounds.make_due_round": {FLOOR, BUYING},
    "inventory.rounds.make_round": {FLOOR, BUYING},
    "inventory.slipping.slip": {BUYING},
    "inventory.targeting.by_hand.leave_to_runs": {BUYING},
    "inventory.targeting.by_hand.set_by_hand": {BUYING},
    "inventory.targeting.runs.start": {BUYING},
    "inventory.targeting.runs.take_up": {BUYING},
    "inventory.walking.give_up": {FLOOR},
    "inventory.walking.make_walk": {FLOOR},
    "inventory.walking.not_there": {FLOOR},
    "inventory.walking.pick": {FLOOR},
    "inventory.walking.put_back": {FLOOR},
    "kits.copying.copy_kit": {COUNTER},
    "kits.customising.open_kit": {COUNTER},
    "kits.customising.let_follow": {COUNTER},
    "kits.customising.swap": {COUNTER},
    "kits.customising.swap_together": {COUNTER},
    "kits.making_up.makeup_from": {CATALOGUE},
    "kits.releasing.release": {CATALOGUE},
    "kits.revising.revise": {CATALOGUE},
    "shop.cancelling.cancel": {COUNTER},
    "shop.customers.add_customer": {COUNTER},
    "shop.losing.lose": {COUNTER},
    "shop.noticing.seen": {COUNTER},
    "shop.ordering.accept": {COUNTER},
    "shop.packing.pack": {FLOOR},
    "shop.packing.ship": {FLOOR},
    "shop.packing.unpack": {FLOOR},
    "shop.picking.give_up": {FLOOR},
    "shop.picking.make_walk": {FLOOR},
    "shop.picking.not_there": {FLOOR},
    "shop.picking.pick": {FLOOR},
    "shop.picking.put_back": {FLOOR},
    "shop.quoting.hold": {COUNTER},
    "shop.quoting.prolong": {COUNTER},
    "shop.quoting.quote": {COUNTER},
    "shop.quoting.withdraw": {COUNTER},
    "shop.receiving.close_short": {BUYING},
    "shop.receiving.receive": {FLOOR, BUYING},
    "shop.sending.send": {BUYING},
    "shop.requoting.swap_on_quote": {COUNTER},
    "shop.returning.take_back": {COUNTER},
    "shop.slipping.slip": {BUYING},
}


def modules() -> Iterator[Any]:
    """Every module of the house that may hold acts; management commands and migrations hold none."""
    for package in (inventory, kits, shop):
        for found in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if not {"migrations", "management", "planning", "wsgi", "celery"} & set(found.name.split(".")):
                yield importlib.import_module(found.name)


def acts() -> dict[str, Callable[..., Any]]:
    return {
        f"{module.__name__}.{name}": function
        for module in modules()
        for name, function in inspect.getmembers(module, inspect.isfunction)
        if hasattr(function, "permission") and function.__module__ == module.__name__
    }


def test_every_act_is_in_the_table() -> None:
    assert set(acts()) == set(MAY)


@pytest.mark.parametrize("desk", DESKS)
@pytest.mark.parametrize("name", MAY)
def test_a_desk_has_the_right_or_has_not(name: str, desk: str) -> None:
    assert (acts()[name].permission in DESKS[desk]) == (desk in MAY[name])  # type: ignore[attr-defined]  # set by @act


@pytest.mark.parametrize("desk", DESKS)
def test_an_act_of_another_desk_is_refused_before_it_looks_at_anything(desk: str, clerk: Clerk) -> None:
    for name, function in acts().items():
        if desk not in MAY[name]:
            with pytest.raises(NotAllowed) as caught:
                function(clerk(desk), *_nothing(function), **_named(function))
            assert caught.value.details["permission"] == function.permission  # type: ignore[attr-defined]  # set by @act
    assert not AuditEntry.objects.exists()


@pytest.mark.django_db
def test_nobody_signed_in_may_do_nothing() -> None:
    for function in acts().values():
        with pytest.raises(NotAllowed, match="Nobody signed in"):
            function(AnonymousUser(), *_nothing(function), **_named(function))


def test_a_person_who_has_left_may_do_nothing(clerk: Clerk) -> None:
    leaver: User = clerk("counter")
    leaver.is_active = False
    with pytest.raises(NotAllowed):
        acts()["shop.quoting.quote"](leaver, None, [])


def _parameters(function: Callable[..., Any]) -> list[inspect.Parameter]:
    return list(inspect.signature(function).parameters.values())[1:]


def _nothing(function: Callable[..., Any]) -> list[None]:
    """One nothing for every positional argument after the user."""
    return [None for one in _parameters(function) if one.kind is inspect.Parameter.POSITIONAL_OR_KEYWORD]


def _named(function: Callable[..., Any]) -> dict[str, None]:
    return {one.name: None for one in _parameters(function) if one.kind is inspect.Parameter.KEYWORD_ONLY}
