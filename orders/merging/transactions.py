"""Reading what is kept and writing the merged edit, with nobody else in between."""

from functools import wraps

from django.db import transaction
from django.db.models import QuerySet

# What buttons and drawings send that ask for something on the page and save nothing.
_HELP = ("look", "fill")


def merging_view(view):
    """Runs a save of the view in one transaction, so that no other edit comes between what it
    merges with and what it writes. On SQLite that transaction is alone in writing; on PostgreSQL
    the view locks the row: see `for_edit`."""

    @wraps(view)
    def run(request, *args, **kwargs):
        if not _saves(request):
            return view(request, *args, **kwargs)
        with transaction.atomic():
            return view(request, *args, **kwargs)

    return run


def for_edit(request, rows: QuerySet) -> QuerySet:
    """`rows`, locked until the edit is written.

    What they refer to is read after the lock, by statements of its own: a joined row would be the
    one from before PostgreSQL waited, and None where the other edit refers to a new row by now.
    """
    return rows.select_related(None).select_for_update() if _saves(request) else rows


def _saves(request) -> bool:
    return request.method == "POST" and not any(name in request.POST for name in _HELP)
