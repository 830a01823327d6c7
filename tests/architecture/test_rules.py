"""Rules of the house that a machine can check."""

import hashlib
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from stages.scan.decoder import DETECTOR, DETECTOR_PARTS, WASM
from tests.examples import in_long_form

ROOT = Path(__file__).resolve().parents[2]
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))


def test_vendored_files_are_the_ones_written_down():
    """Version, licence and checksum of every browser library kept here."""
    folder = ROOT / "static" / "vendor"
    written = tomllib.loads((folder / "VENDOR.toml").read_text())
    names = {name: entry[0] for name, entry in written.items()}
    texts = {f"licences/{text}" for entry in names.values() for text in entry.get("texts", [])}
    there = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}
    assert there == {"VENDOR.toml", *names, *texts}
    for name, entry in names.items():
        assert {"name", "version", "licence", "source", "sha256"} <= set(entry)
        assert entry["licence"] == "0BSD" or entry["texts"]  # the others must keep their notice
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == entry["sha256"]


def test_the_square_reader_is_the_one_its_script_was_built_for():
    """One of another version fails with a vague "service unavailable", and only in the bay."""
    folder = ROOT / "static"
    script = (folder / DETECTOR_PARTS[0]).read_text()
    assert hashlib.sha256((folder / WASM).read_bytes()).hexdigest() in script
    assert all((folder / name).exists() for name in (DETECTOR, *DETECTOR_PARTS))


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


def test_what_a_browser_test_waits_for_is_a_function():
    """A bare expression is evaluated in the page, where the policy refuses it: but only when it
    was not true at first, so that such a test fails on a busy machine alone."""
    calls = [
        (path.name, call)
        for path in (ROOT / "tests" / "browser").glob("*.py")
        for call in re.findall(r"""wait_for_function\(\s*["']+(.{12})""", path.read_text())
    ]
    assert calls and all("=>" in text for _, text in calls), calls


def test_no_test_of_the_short_form_measures_time():
    """A machine may be many times slower than another: what is slow is for the benchmarks."""
    clocks = re.compile(r"perf_counter|process_time|timeit")
    files = [path for path in (ROOT / "tests").rglob("*.py") if "benchmarks" not in path.parts]
    named = [path.name for path in files if clocks.search(path.read_text())]
    assert named == [Path(__file__).name]  # which names them here


@pytest.mark.parametrize("host", ["192.168.7.20", in_long_form("boards.example")])
def test_the_deployment_check_is_clean_under_the_production_setting(tmp_path, host):
    answer = subprocess.run(
        [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        env={
            "PATH": "/usr/bin:/bin",
            "RACKBOUND_HTTPS": "1",
            "RACKBOUND_ADDRESS": f"https://{host}",
            "RACKBOUND_HOSTS": host,
            "RACKBOUND_DATA": str(tmp_path),
            "DJANGO_SETTINGS_MODULE": "config.settings",
        },
    )
    assert answer.returncode == 0, answer.stderr
    assert "no issues" in answer.stdout
