"""Promises given before they were kept: from the spec revisions, which kept each date with its who
and when. Nobody said how sure they were, so they count as given by feel."""

from django.db import migrations

from orders.append_only import refuse_changes

_BATCH = 500


def from_revisions(apps, schema_editor):
    SpecRevision = apps.get_model("orders", "SpecRevision")
    Promise = apps.get_model("orders", "Promise")
    rows = SpecRevision.objects.order_by("board", "number").values_list(
        "board_id", "promised_on", "made_at", "made_by_id"
    )
    promises, last = [], (None, None)
    for board, on, at, by in rows.iterator():
        if on and (board, on) != last:
            promises.append(
                Promise(board_id=board, promised_on=on, given_at=at, given_by_id=by)
            )
        last = board, on
    Promise.objects.bulk_create(promises, batch_size=_BATCH)
    # PostgreSQL makes no trigger while rows wait for their foreign keys to be looked at.
    schema_editor.connection.check_constraints(table_names=[Promise._meta.db_table])


class Migration(migrations.Migration):
    dependencies = [("orders", "0005_promises")]

    operations = [
        migrations.RunPython(from_revisions, migrations.RunPython.noop),
        refuse_changes("orders_promise"),
    ]
