"""Copies the SQLite database whole and consistent, while Rackbound goes on serving."""

import sqlite3
from contextlib import closing
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser):
        parser.add_argument("folder", help="where the copy goes: another disk, best of all")

    def handle(self, *, folder, **options):
        database = settings.DATABASES["default"]
        if "sqlite" not in database["ENGINE"]:
            raise CommandError("This factory is on PostgreSQL: back it up with pg_dump.")
        folder = Path(folder)
        if not folder.is_dir():
            raise CommandError(f"There is no folder {folder}. Make it, or plug the disk in.")
        target = folder / f"rackbound-{timezone.now():%Y%m%d-%H%M%S}.sqlite3"
        with (
            closing(sqlite3.connect(database["NAME"])) as source,
            closing(sqlite3.connect(target)) as copy,
        ):
            source.backup(copy)
            (verdict,) = copy.execute("PRAGMA integrity_check").fetchone()
            copy.execute("PRAGMA journal_mode=DELETE")
        if verdict != "ok":
            target.unlink()
            raise CommandError(f"The copy was not sound and is gone: {verdict}")
        self.stdout.write(f"{target}: {target.stat().st_size / 1e6:.1f} MB, checked.")
