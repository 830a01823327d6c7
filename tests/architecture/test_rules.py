"""Rules of the house that a machine can check."""

import hashlib
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))


def test_vendored_files_are_the_ones_written_down():
    """Version, licence and checksum of every browser library kept here."""
    folder = ROOT / "static" / "vendor"
    written = tomllib.loads((folder / "VENDOR.toml").read_text())
    there = {path.name for path in folder.iterdir()} - {"VENDOR.toml"}
    names = {name: entry[0] for name, entry in written.items()}
    assert set(names) == there
    for name, entry in names.items():
        assert {"name", "version", "licence", "source", "sha256"} <= set(entry)
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == entry["sha256"]


@pytest.mark.parametrize("page", TEMPLATES, ids=lambda p: str(p.relative_to(ROOT / "templates")))
def test_no_page_holds_script_or_style_of_its_own(page):
    """The content security policy would drop it in silence."""
    text = page.read_text()
    assert not re.search(r"<script(?![^>]*\bsrc=)", text)
    assert not re.search(r"<style\b", text)
    assert not re.search(r"\sstyle\s*=", text)
    assert not re.search(r"\son[a-z]+\s*=", text)
    assert "hx-on" not in text
    assert "js:" not in text


def test_the_deployment_check_is_clean_under_the_production_setting(tmp_path):
    answer = subprocess.run(
        [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        env={
            "PATH": "/usr/bin:/bin",
            "RACKBOUND_HTTPS": "1",
            "RACKBOUND_ADDRESS": "https://boards.example",
            "RACKBOUND_HOSTS": "boards.example",
            "RACKBOUND_DATA": str(tmp_path),
            "DJANGO_SETTINGS_MODULE": "config.settings",
        },
    )
    assert answer.returncode == 0, answer.stderr
    assert "no issues" in answer.stdout
