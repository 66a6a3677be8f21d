"""`manage.py demo`: the whole shop with the demo scenario, from nothing, on one machine."""

import os
import socket
import sys
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connections

from inventory.tasks import raise_alerts
from shop.demo.people import SIGN_INS, make_people

_HOST = "127.0.0.1"
_WORKERS, _THREADS = 2, 8


class Command(BaseCommand):
    help = "Migrate, load the demo if it is not there yet, and serve it. Runs again without harm."

    def add_arguments(self, parser: CommandParser) -> None:
        """Where to serve."""
        parser.add_argument("--port", type=int, default=8000, help="the port to serve on (8000)")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Prepare, print the address and the sign-ins, and become the server."""
        port = options["port"]
        _require_free(port)
        call_command("migrate", verbosity=0, interactive=False)
        call_command("load_demo", stdout=self.stdout)
        raise_alerts()  # No beat runs here, and the buying desk should find its morning's work.
        make_people()
        settings.STATIC_ROOT.mkdir(exist_ok=True)  # Missing, it is warned about by every worker.
        self._say_where(port)
        self.stdout.flush()
        command = [sys.executable, "-m", "gunicorn", "shop.wsgi:application",
                   "--chdir", str(settings.BASE_DIR), "--bind", f"{_HOST}:{port}",
                   "--workers", str(_WORKERS), "--threads", str(_THREADS),
                   "--log-level", "warning"]  # fmt: skip
        connections.close_all()
        # The server takes this process's place, so that Ctrl-C and kill reach it directly.
        os.execv(sys.executable, command)  # noqa: S606  # our own words, and no shell is wanted

    def _say_where(self, port: int) -> None:
        """The address, and who can sign in."""
        self.stdout.write(f"\n{settings.SHOP_NAME} is at http://{_HOST}:{port}/ (stop it with Ctrl-C)\n\n")
        self.stdout.write("Sign-ins, for the demo only: everybody knows these passwords.\n\n")
        self.stdout.write(f"  {'desk':<11}{'sign-in':<11}{'password':<22}person")
        for who in SIGN_INS:
            self.stdout.write(f"  {who.desk:<11}{who.desk:<11}{who.password:<22}{who.person}")
        self.stdout.write("")


def _require_free(port: int) -> None:
    if not 1 <= port <= 65535:
        raise CommandError(f"There is no port {port}; choose one from 1024 to 65535 with --port.")
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((_HOST, port))
        except OSError as error:
            raise CommandError(
                f"Port {port} cannot be used ({error.strerror}). Choose another with --port, "
                f"as in: manage.py demo --port {port + 1 if port < 65535 else 8000}"
            ) from error
