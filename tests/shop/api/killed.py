"""A shop's process that stops at the commit of one request, for good: `python killed.py WHEN USER PATH KEY`.

WHEN is "before" or "after" the commit. It writes "there" to its output and then waits to be killed.
"""

import signal
import sys
from typing import Any

import django

if __name__ == "__main__":
    django.setup()

    from django.contrib.auth.models import User
    from django.db.backends.base.base import BaseDatabaseWrapper
    from rest_framework.test import APIClient

    when, user, path, key = sys.argv[1:]
    wrapper: Any = BaseDatabaseWrapper
    commit = wrapper._commit

    def stop(connection: BaseDatabaseWrapper) -> None:
        if when == "after":
            commit(connection)
        sys.stdout.write("there\n")
        sys.stdout.flush()
        signal.pause()

    wrapper._commit = stop
    client = APIClient()
    client.force_authenticate(User.objects.get(pk=user))
    client.post(path, {}, headers={"Idempotency-Key": key})
