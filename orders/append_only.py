"""Makes a table refuse UPDATE and DELETE, on both databases, from a migration.

The refusal comes from the database itself, so that no code path, shell or later version of
Rackbound can rewrite what was written. It surfaces in Django as IntegrityError (SQLite) or
InternalError/IntegrityError (PostgreSQL) with the sentence given here.
"""

from django.db import migrations


def refuse_changes(table: str) -> migrations.RunPython:
    """A migration operation that adds the triggers to `table`, and removes them when reversed."""

    def forwards(apps, schema_editor):
        # PostgreSQL keeps the triggers where SQLite, building the table anew, has lost them.
        drop_triggers(schema_editor.connection, table)
        add_triggers(schema_editor.connection, table)

    def backwards(apps, schema_editor):
        drop_triggers(schema_editor.connection, table)

    return migrations.RunPython(forwards, backwards)


def add_triggers(connection, table: str) -> None:
    with connection.cursor() as cursor:
        for deed in ("UPDATE", "DELETE"):
            name = f"{table}_refuses_{deed.lower()}"
            sentence = f"{table} is append-only: {deed.lower()} refused"
            if connection.vendor == "sqlite":
                cursor.execute(
                    f"CREATE TRIGGER {name} BEFORE {deed} ON {table} "
                    f"BEGIN SELECT RAISE(ABORT, '{sentence}'); END"
                )
            else:
                cursor.execute(
                    f"CREATE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS "
                    f"$$ BEGIN RAISE EXCEPTION '{sentence}' "
                    "USING ERRCODE = 'integrity_constraint_violation'; END $$"
                )
                cursor.execute(
                    f"CREATE TRIGGER {name} BEFORE {deed} ON {table} "
                    f"FOR EACH ROW EXECUTE FUNCTION {name}()"
                )


def drop_triggers(connection, table: str) -> None:
    with connection.cursor() as cursor:
        for deed in ("update", "delete"):
            name = f"{table}_refuses_{deed}"
            if connection.vendor == "sqlite":
                cursor.execute(f"DROP TRIGGER IF EXISTS {name}")
            else:
                cursor.execute(f"DROP FUNCTION IF EXISTS {name}() CASCADE")
