"""What the machine lacks is told in a sentence; a fault of the program stays a 500."""

import errno
import sqlite3
from html import unescape

import pytest
from django.core import management
from django.db import OperationalError, connection
from django.test import Client
from django.urls import reverse

import manage
from config.faults import Fault, fault_of
from stages.outbox import views
from stages.photos import files
from stages.photos.pictures import Picture


@pytest.fixture
def desk(world) -> Client:
    client = Client(raise_request_exception=False)
    client.force_login(world.mara, backend="orders.accounts.backends.PasswordBackend")
    return client


def raised(error):
    def view(*args, **kwargs):
        raise error

    return view


@pytest.mark.parametrize(
    ("number", "fault"),
    [
        (errno.ENOSPC, Fault.FULL),
        (errno.EDQUOT, Fault.FULL),
        (errno.EROFS, Fault.READ_ONLY),
        (errno.EACCES, Fault.READ_ONLY),
        (errno.EIO, Fault.DISK),
    ],
)
def test_a_disk_that_takes_no_photo_is_told_of(world, desk, monkeypatch, number, fault):
    monkeypatch.setattr(views, "bay_of", raised(OSError(number, "no")))
    page = desk.get(reverse("hello"))
    assert (page.status_code, page["Retry-After"]) == (503, "10")
    assert all(sentence in unescape(page.content.decode()) for sentence in fault.value)
    told = desk.get(reverse("hello"), headers={"Accept": "application/json"})
    assert told.status_code == 503
    assert told.json()["verdict"] == "retry" and told.json()["error"] == fault.sentence


def test_what_is_no_fault_of_the_machine_stays_a_fault_of_ours(world, desk, monkeypatch):
    monkeypatch.setattr(views, "bay_of", raised(ArithmeticError("ours")))
    assert desk.get(reverse("hello")).status_code == 500
    assert fault_of(None) is None
    assert fault_of(FileNotFoundError(errno.ENOENT, "ours too")) is None


def test_sqlite_says_itself_what_it_lacks(tmp_path):
    """By SQLite's own errors, as a full disk, a read-only folder and a lock raise them."""
    database = sqlite3.connect(tmp_path / "a.sqlite3", isolation_level=None, timeout=0)
    database.execute("CREATE TABLE t (x)")
    pages = database.execute("PRAGMA page_count").fetchone()[0]
    database.execute(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(sqlite3.OperationalError) as full:
        database.execute("INSERT INTO t VALUES (zeroblob(100000))")
    assert fault_of(full.value) is Fault.FULL
    read_only = sqlite3.connect(f"file:{tmp_path}/a.sqlite3?mode=ro", uri=True)
    with pytest.raises(sqlite3.OperationalError) as refused:
        read_only.execute("INSERT INTO t VALUES (1)")
    assert fault_of(refused.value) is Fault.READ_ONLY
    other = sqlite3.connect(tmp_path / "a.sqlite3", timeout=0, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(sqlite3.OperationalError) as locked:
        database.execute("BEGIN IMMEDIATE")
    assert fault_of(locked.value) is Fault.BUSY
    with pytest.raises(sqlite3.OperationalError) as ours:
        database.execute("SELECT nothing FROM nowhere")
    assert fault_of(ours.value) is None


@pytest.mark.django_db
def test_an_error_is_known_through_what_django_makes_of_it():
    with pytest.raises(OperationalError) as wrapped, connection.wrap_database_errors:
        raise connection.Database.OperationalError("no room") from OSError(errno.ENOSPC, "no")
    assert fault_of(wrapped.value) is Fault.FULL


def test_half_a_photo_on_a_full_disk_is_taken_away_again(tmp_path, settings, monkeypatch):
    settings.DATA_DIR = tmp_path
    monkeypatch.setattr(files.os, "fsync", raised(OSError(errno.ENOSPC, "no")))
    with pytest.raises(OSError):
        files.keep("11111111-1111-1111-1111-111111111111", Picture(b"a", b"b", 1, 1))
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


def test_the_command_line_says_it_in_a_sentence_too(monkeypatch):
    monkeypatch.setattr(manage, "ensure_environment", lambda argv: None)
    monkeypatch.setattr("sys.argv", ["manage.py", "check"])
    lacks = raised(OSError(errno.EROFS, "Read-only file system", "/data/secret_key"))
    monkeypatch.setattr(management, "execute_from_command_line", lacks)
    with pytest.raises(SystemExit) as told:
        manage.main()
    assert Fault.READ_ONLY.value[0] in told.value.code and "/data/secret_key" in told.value.code
    monkeypatch.setattr(management, "execute_from_command_line", raised(KeyError("ours")))
    with pytest.raises(KeyError):
        manage.main()
