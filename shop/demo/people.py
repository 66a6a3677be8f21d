"""Who acts in the demo: the system user, and one made-up person per desk."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib.auth.models import Group, User

SYSTEM = "demo"


@dataclass(frozen=True)
class SignIn:
    """For the demo only: everybody can read these passwords here."""

    desk: str
    person: str
    password: str


SIGN_INS = (
    SignIn("counter", "Ines", "demo-counter-only"),
    SignIn("floor", "Tam", "demo-floor-only"),
    SignIn("buying", "Bridie", "demo-buying-only"),
    SignIn("catalogue", "Oskar", "demo-catalogue-only"),
)


def system_user() -> User:
    """The user by whom opening stock and old orders are booked; nobody can sign in as it."""
    user, made = User.objects.get_or_create(username=SYSTEM, defaults={"is_active": False})
    if made:
        user.set_unusable_password()
        user.save(update_fields=["password"])
    return user


def make_people() -> tuple[SignIn, ...]:
    """One user per desk, named after it and in its group. Who is there already is left as he is."""
    for sign_in in SIGN_INS:
        user, made = User.objects.get_or_create(
            username=sign_in.desk,
            # The catalogue desk works in the admin.
            defaults={"first_name": sign_in.person, "is_staff": sign_in.desk == "catalogue"},
        )
        if made:
            user.set_password(sign_in.password)
            user.save(update_fields=["password"])
        user.groups.add(Group.objects.get(name=sign_in.desk))
    return SIGN_INS
