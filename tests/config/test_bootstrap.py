"""What the two commands say on a machine where something is missing."""

import subprocess
import sys

import pytest

from config import bootstrap
from config.checks import sqlite_is_mended


def test_a_python_without_venv_gets_a_sentence(tmp_path, monkeypatch):
    monkeypatch.setattr(bootstrap, "VENV", tmp_path / "venv")
    monkeypatch.setattr(
        bootstrap.subprocess,
        "run",
        lambda *a, **k: subprocess.CompletedProcess(a, 1, "", "ensurepip is not available\n"),
    )
    with pytest.raises(SystemExit) as stop:
        bootstrap.ensure_environment(["manage.py", "run"])
    assert "apt-get install python3-venv" in str(stop.value)


def test_an_older_python_gets_a_sentence(monkeypatch):
    monkeypatch.setattr(sys, "version_info", (3, 9, 2))
    with pytest.raises(SystemExit) as stop:
        bootstrap.ensure_environment(["manage.py", "run"])
    assert "needs Python 3.11 or newer" in str(stop.value)


def test_no_network_gets_a_sentence(tmp_path, monkeypatch):
    monkeypatch.setattr(bootstrap, "VENV", tmp_path / "venv")
    codes = iter([0, 1])
    monkeypatch.setattr(
        bootstrap.subprocess,
        "run",
        lambda *a, **k: subprocess.CompletedProcess(a, next(codes), "", ""),
    )
    with pytest.raises(SystemExit) as stop:
        bootstrap.ensure_environment(["manage.py", "test"])
    assert "needs the network once" in str(stop.value)


@pytest.mark.parametrize(
    ("version", "mended"),
    [
        # sqlite.org/changes.html: the write-ahead log reset race
        ((3, 40, 1), False),
        ((3, 44, 6), True),
        ((3, 50, 6), False),
        ((3, 50, 7), True),
        ((3, 51, 2), False),
        ((3, 51, 3), True),
        ((3, 53, 0), True),
    ],
)
def test_which_sqlite_has_the_mended_write_ahead_log(version, mended):
    assert sqlite_is_mended(version) is mended
