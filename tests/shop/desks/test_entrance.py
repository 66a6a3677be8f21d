"""Signing in, and the way to the desks."""

import pytest
from django.contrib.auth.models import Group
from django.test import Client
from django.urls import reverse

from tests.clerks import Clerk
from tests.shop.desks.conftest import At
from tests.shop.desks.reading import said


def test_a_visitor_is_sent_to_sign_in_and_back(clerk: Clerk) -> None:
    user = clerk("counter")
    user.set_password("four-bolts-one-pulley")
    user.save()
    visitor = Client()
    asked = visitor.get(reverse("stock"))
    assert asked.headers["Location"] == f"{reverse('sign-in')}?next={reverse('stock')}"
    signed_in = visitor.post(
        asked.headers["Location"],
        {"username": user.username, "password": "four-bolts-one-pulley", "next": reverse("stock")},
    )
    assert signed_in.headers["Location"] == reverse("stock")


def test_a_wrong_password_says_so_and_keeps_the_name(db: None) -> None:
    answer = Client().post(reverse("sign-in"), {"username": "ines", "password": "no"})
    assert "do not belong together" in said(answer)
    assert 'value="ines"' in answer.content.decode()


def test_who_works_at_one_desk_goes_straight_there(at: At) -> None:
    assert at("counter").get(reverse("desks")).headers["Location"] == reverse("counter")


def test_who_works_at_several_desks_chooses(at: At, clerk: Clerk) -> None:
    clerk("counter").groups.add(Group.objects.get(name="floor"))
    page = at("counter").get(reverse("desks")).content.decode()
    assert f'href="{reverse("counter")}"' in page and f'href="{reverse("floor")}"' in page
    assert f'href="{reverse("buying")}"' not in page


def test_signing_out_ends_the_session(at: At) -> None:
    browser = at("counter")
    assert browser.post(reverse("sign-out")).status_code == 302
    assert browser.get(reverse("counter")).status_code == 302


@pytest.mark.parametrize(
    ("page", "desks"),
    [
        ("counter", {"counter"}),
        ("floor", {"floor"}),
        ("buying", {"buying"}),
        ("goods-in", {"floor", "buying"}),
        ("stock", {"counter", "floor", "buying", "catalogue"}),
    ],
)
def test_a_desk_opens_only_to_those_who_work_there(at: At, page: str, desks: set[str]) -> None:
    for desk in ("counter", "floor", "buying", "catalogue"):
        answer = at(desk).get(reverse(page))
        assert answer.status_code == (200 if desk in desks else 403), desk
        assert ("does not work at this desk" in said(answer)) == (desk not in desks)
