"""Copies the SQLite database whole and consistent, and the photos, while Rackbound serves on."""

import shutil
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
        # After the database: every photo that it names is there. One that is kept never changes.
        copied = _copy_new(settings.DATA_DIR / "photos", folder / "photos")
        self.stdout.write(f"{folder / 'photos'}: {copied} new file{'' if copied == 1 else 's'}.")


def _copy_new(source: Path, target: Path) -> int:
    """Files that are not in the copy yet; each appears whole or not at all."""
    copied = 0
    for path in sorted(source.rglob("*.jpg")):
        kept = target / path.relative_to(source)
        if kept.exists():
            continue
        kept.parent.mkdir(parents=True, exist_ok=True)
        partial = kept.with_suffix(".part")
        shutil.copy2(path, partial)
        partial.replace(kept)
        copied += 1
    return copied
