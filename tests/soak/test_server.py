"""A server that was killed comes back with all that was committed."""

import psycopg

from .server import LastingPostgres


def test_a_killed_server_comes_back_with_what_was_committed() -> None:
    with LastingPostgres(durable=True) as server:
        with psycopg.connect(server.url, autocommit=True) as connection:
            connection.execute("CREATE TABLE kept AS SELECT 1 AS one")
            (before,) = connection.execute("SELECT pg_postmaster_start_time()").fetchall()
        server.kill()
        with psycopg.connect(server.url) as connection:
            assert connection.execute("SELECT one FROM kept").fetchall() == [(1,)]
            (after,) = connection.execute("SELECT pg_postmaster_start_time()").fetchall()
        assert after > before
