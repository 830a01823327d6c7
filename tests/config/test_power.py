"""What a screen called logged survives the power going off, though tests do not wait for disks."""

import sqlite3

from config import settings


def test_the_shops_sqlite_waits_for_the_disk_at_every_commit(tmp_path):
    database = sqlite3.connect(tmp_path / "shop.sqlite3")
    database.executescript(settings.DATABASES["default"]["OPTIONS"]["init_command"])
    full = 2
    assert database.execute("PRAGMA synchronous").fetchone() == (full,)
    assert database.execute("PRAGMA journal_mode").fetchone() == ("wal",)
    database.close()
