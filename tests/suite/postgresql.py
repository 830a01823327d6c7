"""The PostgreSQL that tests run on: found, and left without their databases."""

import hashlib
import os

import psycopg
from psycopg import sql

from config.bootstrap import ROOT

_HERE = "postgresql://root@127.0.0.1/postgres"
# Several checkouts may test on one server: each has a migrated database of its own, to copy.
MIGRATED = f"rackbound_migrated_{hashlib.sha256(str(ROOT).encode()).hexdigest()[:8]}"


def find_postgresql() -> str | None:
    """Where one answers, if anywhere: as RACKBOUND_TEST_POSTGRESQL says, or this machine's own."""
    named = os.environ.get("RACKBOUND_TEST_POSTGRESQL")
    dsn = named or _HERE
    try:
        psycopg.connect(dsn, connect_timeout=2).close()
    except psycopg.OperationalError as error:
        if named:
            print(f"RACKBOUND_TEST_POSTGRESQL does not answer: {error}")
        return None
    return dsn


def drop_databases(dsn: str, prefix: str) -> None:
    """What workers that were killed could not drop themselves."""
    with psycopg.connect(dsn, autocommit=True) as connection:
        names = connection.execute(
            "SELECT datname FROM pg_database WHERE starts_with(datname, %s)", [prefix]
        ).fetchall()
        for (name,) in names:
            connection.execute(
                sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name))
            )
