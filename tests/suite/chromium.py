"""A Chromium that opens a page here: found, installed if need be, and tried before any test."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

from config.bootstrap import ROOT

# Where there is a Chromium without a window to draw, a page opens in a third of the time.
_NAMES = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
# What the driver's own node needs on a bare Debian beside what Debian's chromium brings along.
_DRIVER_PACKAGES = ("libatomic1", "libstdc++6")
_OPEN_A_PAGE = """
import sys
from playwright.sync_api import sync_playwright
with sync_playwright() as playwright:
    browser = playwright.chromium.launch(executable_path=sys.argv[1], args=["--no-sandbox"])
    page = browser.new_page()
    page.set_content("<p>here</p>")
    assert page.inner_text("p") == "here"
    browser.close()
"""


def find_chromium() -> tuple[str | None, str]:
    """(path, "") of one that was seen to open a page; else (None, what is missing).

    As root on Debian it installs what is missing; elsewhere Playwright's own Chromium is tried.
    """
    path = _named() or _on_path() or _installed_by_apt() or _of_playwright()
    if path is None:
        return None, (
            "no Chromium was found and none could be installed. Install Debian's package "
            "'chromium', or run 'playwright install chromium' in .venv"
        )
    missing = _cannot_open(path)
    if missing and _apt_install(*_DRIVER_PACKAGES):
        missing = _cannot_open(path)
    return (None, missing) if missing else (path, "")


def _named() -> str | None:
    named = os.environ.get("RACKBOUND_BROWSER")
    return named if named and os.path.exists(named) else None


def _on_path() -> str | None:
    return next((path for name in _NAMES if (path := shutil.which(name))), None)


def _installed_by_apt() -> str | None:
    for package in ("chromium-headless-shell", "chromium"):
        if _apt_install(package):
            return _on_path()
    return None


def _apt_install(*packages: str) -> bool:
    if not shutil.which("apt-get") or getattr(os, "geteuid", lambda: -1)() != 0:
        return False
    print(f"Installing {', '.join(packages)} for the browser tests ...", flush=True)
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (
        ["apt-get", "update", "-q"],
        ["apt-get", "install", "-qy", "--no-install-recommends", *packages],
    ):
        done = subprocess.run(
            command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment
        )
    return done.returncode == 0


def _of_playwright() -> str | None:
    def installed() -> str | None:
        asked = subprocess.run(
            [
                *(sys.executable, "-c"),
                "from playwright.sync_api import sync_playwright as p\n"
                "with p() as it: print(it.chromium.executable_path)",
            ],
            capture_output=True,
            text=True,
        )
        path = asked.stdout.strip()
        return path if path and os.path.exists(path) else None

    if found := installed():
        return found
    print("Downloading a Chromium for the browser tests ...", flush=True)
    subprocess.run(
        [sys.executable, "-m", "playwright", "install", "chromium"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    return installed()


def _cannot_open(path: str) -> str:
    """Empty where a page was opened and closed; else why not, in a line."""
    try:
        tried = subprocess.run(
            [sys.executable, "-c", _OPEN_A_PAGE, path],
            cwd=ROOT,
            capture_output=True,
            text=True,
            timeout=120,
        )
    except subprocess.TimeoutExpired:
        return f"{path} did not open a page within two minutes"
    if tried.returncode == 0:
        return ""
    if libraries := _missing_libraries(path):
        return f"these libraries are missing: {', '.join(libraries)}"
    lines = [line for line in tried.stderr.splitlines() if line.strip()]
    return f"{path} does not start: {lines[-1].strip() if lines else 'it said nothing'}"


def _missing_libraries(path: str) -> list[str]:
    import playwright

    driver = Path(playwright.__file__).parent / "driver" / "node"
    found = set()
    for program in (str(driver), path):
        if shutil.which("ldd"):
            told = subprocess.run(["ldd", program], capture_output=True, text=True).stdout
            found |= {line.split()[0] for line in told.splitlines() if "not found" in line}
    return sorted(found)
