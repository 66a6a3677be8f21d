"""A table that refuses to be emptied is emptied after a transactional test, and refuses again."""

from collections.abc import Iterator

import pytest
from django.contrib.auth.models import Group
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction

from inventory.models import Movement
from tests.inventory.builders import a_part, put

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.main_job]

GUARD = {
    "sqlite": [
        """CREATE TRIGGER "group stays" BEFORE DELETE ON auth_group
           BEGIN SELECT RAISE(ABORT, 'groups stay'); END""",
    ],
    "postgresql": [
        """CREATE FUNCTION groups_stay() RETURNS trigger LANGUAGE plpgsql AS
           $$ BEGIN RAISE EXCEPTION 'groups stay'; END $$""",
        """CREATE TRIGGER "group stays" BEFORE DELETE ON auth_group
           FOR EACH ROW EXECUTE FUNCTION groups_stay()""",
        """CREATE TRIGGER "groups stay" BEFORE TRUNCATE ON auth_group
           FOR EACH STATEMENT EXECUTE FUNCTION groups_stay()""",
    ],
}
LIFT = {
    "sqlite": ['DROP TRIGGER "group stays"'],
    "postgresql": ["DROP FUNCTION groups_stay() CASCADE"],
}


def execute(statements: list[str]) -> None:
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


@pytest.fixture
def guarded() -> Iterator[None]:
    execute(GUARD[connection.vendor])
    yield
    execute(LIFT[connection.vendor])


def flush() -> None:
    call_command("flush", interactive=False, verbosity=0, allow_cascade=False, inhibit_post_migrate=True)


@pytest.mark.usefixtures("guarded")
def test_a_flush_goes_past_the_guard() -> None:
    Group.objects.create(name="pickers")
    flush()
    assert not Group.objects.exists()


def test_a_flush_empties_the_ledger_itself() -> None:
    with transaction.atomic():
        put(a_part(), 5)
    assert Movement.objects.exists()
    flush()
    assert not Movement.objects.exists()


@pytest.mark.usefixtures("guarded")
def test_the_guard_is_in_force_after_a_flush() -> None:
    flush()
    Group.objects.create(name="pickers")
    with pytest.raises(DatabaseError, match="groups stay"):
        Group.objects.all().delete()
    assert Group.objects.filter(name="pickers").exists()


@pytest.mark.usefixtures("guarded")
def test_a_flush_that_fails_leaves_the_guard_in_force() -> None:
    Group.objects.create(name="pickers")
    with pytest.raises(DatabaseError):
        connection.ops.execute_sql_flush(["DELETE FROM auth_group_permissions", "DELETE FROM no_such_table"])
    with pytest.raises(DatabaseError, match="groups stay"):
        Group.objects.all().delete()
