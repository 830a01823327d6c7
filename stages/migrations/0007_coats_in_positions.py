"""Which coats were poured is part of a board's position: read once from the mixes in the log."""

from django.db import migrations


def count_coats(apps, schema_editor):
    Entry, Position = (apps.get_model("stages", name) for name in ("Entry", "Position"))
    undone = Entry.objects.filter(kind="undone").values_list("payload__ref", flat=True)
    taken_back = {ref for ref in undone.iterator() if ref}
    mixes = Entry.objects.filter(kind="mixed").order_by("board", "seq")
    poured = {}
    for board, ref, step, payload in mixes.values_list(
        "board", "ref", "step", "payload"
    ).iterator():
        coat = payload.get("coat")
        if coat and str(ref) not in taken_back:
            coats = poured.setdefault(board, {}).setdefault(step, {})
            coats[coat] = coats.get(coat, 0) + 1
    for position in Position.objects.filter(pk__in=list(poured)).iterator():
        for step, coats in poured[position.pk].items():
            position.folded["steps"][step]["coats"] = coats
        position.save(update_fields=["folded"])


class Migration(migrations.Migration):

    dependencies = [
        ('stages', '0006_bay_room'),
    ]

    operations = [migrations.RunPython(count_coats, migrations.RunPython.noop)]
