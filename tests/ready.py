"""What tests would make again and again, made once: the migrated database, and the rows of a cast.

Migrating takes seconds and making the cast as long as many a test. Both are done as in production,
once, and copied from then on.
"""

import fcntl
import hashlib
import shutil
from collections.abc import Callable
from contextlib import contextmanager
from importlib.metadata import version
from pathlib import Path

from django.apps import apps
from django.conf import settings
from django.db import connection, transaction

from orders.append_only import add_triggers, drop_triggers
from tests.suite.postgresql import MIGRATED

APPEND_ONLY = {"orders_specrevision", "orders_blankmovement", "orders_promise", "stages_entry"}
# Written by Django after migrating, and the same in every test.
_STANDING = {"django_content_type", "auth_permission"}


def make_database() -> None:
    """A migrated, empty test database behind `connection`: a copy of one that is kept."""
    if connection.vendor == "sqlite":
        _copy_file()
    else:
        _copy_on_server()


def _copy_file() -> None:
    path = Path(connection.settings_dict["TEST"]["NAME"])
    kept = settings.DATA_DIR / f"migrated-{_migrations()}.sqlite3"
    with _one_at_a_time():
        if not kept.exists():
            for old in settings.DATA_DIR.glob("migrated-*"):
                old.unlink()
            _migrated(str(path))
            shutil.copyfile(path, kept)
        for rest in ("-wal", "-shm"):
            Path(f"{path}{rest}").unlink(missing_ok=True)
        shutil.copyfile(kept, path)
    _use(str(path))


def _copy_on_server() -> None:
    test_name = connection.creation._get_test_db_name()
    kept, wanted = MIGRATED, _migrations()
    with _one_at_a_time():
        with connection._nodb_cursor() as cursor:
            cursor.execute(
                "SELECT shobj_description(oid, 'pg_database') FROM pg_database WHERE datname = %s",
                [kept],
            )
            there = cursor.fetchone()
        if there != (wanted,):
            _migrated(kept)
            with connection._nodb_cursor() as cursor:
                cursor.execute(f"COMMENT ON DATABASE \"{kept}\" IS '{wanted}'")
        with connection._nodb_cursor() as cursor:
            cursor.execute(f'DROP DATABASE IF EXISTS "{test_name}"')
            cursor.execute(f'CREATE DATABASE "{test_name}" TEMPLATE "{kept}"')
    _use(test_name)


def _migrated(name: str) -> None:
    """As `manage.py migrate` makes it, whatever was there before; nothing is connected to it."""
    was, as_before = connection.settings_dict["NAME"], dict(connection.settings_dict["TEST"])
    connection.settings_dict["TEST"]["NAME"] = name
    connection.creation.create_test_db(verbosity=0, autoclobber=True, serialize=False)
    connection.close()
    connection.settings_dict["TEST"].update(as_before)
    connection.settings_dict["NAME"] = settings.DATABASES["default"]["NAME"] = was


def _use(name: str) -> None:
    connection.close()
    connection.settings_dict["NAME"] = settings.DATABASES["default"]["NAME"] = name


def _migrations() -> str:
    """Another word for every other state of the migrations."""
    seen = hashlib.sha256(f"Django {version('Django')}, axes {version('django-axes')}".encode())
    migrations = settings.BASE_DIR.glob("*/migrations/*.py")
    for path in [settings.BASE_DIR / "orders" / "append_only.py", *sorted(migrations)]:
        seen.update(path.name.encode())
        seen.update(path.read_bytes())
    return seen.hexdigest()[:16]


@contextmanager
def _one_at_a_time():
    with (settings.DATA_DIR / "migrated.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def empty() -> None:
    """No row is left but what Django wrote after migrating. The log's triggers step aside."""
    tables = set(connection.introspection.django_table_names(only_existing=True)) - _STANDING
    asked = " UNION ALL ".join(
        f"SELECT '{table}' WHERE EXISTS (SELECT 1 FROM {table})" for table in sorted(tables)
    )
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(asked)
        full = {table for (table,) in cursor.fetchall()}
        if full and connection.vendor == "postgresql":  # which empties past triggers of rows
            cursor.execute(f"TRUNCATE {', '.join(sorted(full))} CASCADE")
        elif full:
            for table in full & APPEND_ONLY:
                drop_triggers(connection, table)
            for table in full:
                cursor.execute(f"DELETE FROM {table}")
            for table in full & APPEND_ONLY:
                add_triggers(connection, table)


class Rows:
    """All rows of our own that `make` writes into an empty database, to be put there again."""

    def __init__(self, make: Callable):
        with transaction.atomic():
            self.made = make()
            self._inserts = [
                insert
                for model in apps.get_models(include_auto_created=True)
                if model._meta.app_label in ("orders", "stages") and not model._meta.proxy
                for insert in _inserts(model._meta)
            ]
            transaction.set_rollback(True)

    def put(self) -> None:
        with transaction.atomic(), connection.cursor() as cursor:
            for insert in self._inserts:
                cursor.execute(insert)


def _inserts(meta) -> list[str]:
    """Statements that insert what now stands in a table, to the letter."""
    columns = [f'"{field.column}"' for field in meta.local_concrete_fields]
    literal = "quote({})" if connection.vendor == "sqlite" else "quote_nullable({}::text)"
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT {', '.join(literal.format(column) for column in columns)} "
            f'FROM "{meta.db_table}"'
        )
        rows = [f"({', '.join(row)})" for row in cursor.fetchall()]
    into = f'INSERT INTO "{meta.db_table}" ({", ".join(columns)}) VALUES '
    return [into + ", ".join(rows[at : at + 500]) for at in range(0, len(rows), 500)]
