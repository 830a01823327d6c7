"""`manage.py test`: style, dependency rules, then every test on SQLite, with a browser if any."""

import os
import shutil
import subprocess
import sys

from config.bootstrap import ROOT

# Where there is a Chromium without a window to draw, a page opens in a third of the time.
_BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser", "google-chrome")
_PROCESSES = min(8, max(2, os.cpu_count() or 2))


def run_tests(arguments: list[str]) -> int:
    """Exit status 0 when all passed. Says in its last lines what did not run, and why."""
    problems, unrun = [], []
    os.environ["DJANGO_SETTINGS_MODULE"] = "tests.settings"
    os.environ.setdefault("RACKBOUND_DATA", str(ROOT / ".data" / "tests"))
    # Each of some ten processes would compile Rackbound and its tests anew: 10 s each.
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    browser = find_browser()
    if browser:
        os.environ["RACKBOUND_BROWSER"] = browser
    pytest = [sys.executable, "-m", "pytest", "-q", "-rs"]
    if arguments:
        runs = [("tests", [*pytest, *arguments])]
    else:
        runs = [
            ("style", [sys.executable, "-m", "ruff", "check", "."]),
            ("dependency rules", [_tool("lint-imports"), "--no-cache"]),
            ("migrations", [sys.executable, "manage.py", "makemigrations", "--check"]),
            ("tests", [*pytest, *_beside(_PROCESSES), "-m", "not browser and not long"]),
        ]
        if browser:
            # One more than there are processors: a browser waits for clocks, frames and replies.
            command = [*pytest, *_beside(_PROCESSES + 1), "-m", "browser and not long"]
            runs.append(("browser tests", [*command, "tests/browser"]))
        else:
            unrun.append(
                "the browser tests: no Chromium was found and none could be installed. "
                "Install Debian's package 'chromium', or run 'playwright install chromium'."
            )
        if database := _postgresql():
            # The rules of the code are the same on either database.
            command = [*pytest, *_beside(_PROCESSES), "-m", "django_db and not long"]
            command += ["--ignore=tests/architecture", "--ignore=tests/browser"]
            runs.append(("tests on PostgreSQL", command, {"RACKBOUND_DATABASE": database}))
        else:
            unrun.append(
                "the tests on PostgreSQL: no server answered. "
                "Name one with RACKBOUND_TEST_POSTGRESQL=postgresql://user@host/database."
            )
    for name, command, *extra in runs:
        print(f"\n== {name}", flush=True)
        environment = {**os.environ, **(extra[0] if extra else {})}
        if subprocess.run(command, cwd=ROOT, env=environment).returncode:
            problems.append(name)
    print()
    for what in unrun:
        print(f"Did not run: {what}")
    print(f"Failed: {', '.join(problems)}." if problems else "All that ran passed.")
    return 1 if problems else 0


def _beside(processes: int) -> list[str]:
    """Each takes a stretch of the tests, and from the slower ones when done: what one has made for
    a test is at hand for the next of the same file."""
    return ["-n", str(processes), "--dist", "worksteal"]


def find_browser() -> str | None:
    """A Chromium on this machine, installed if need be: Debian's as root, else Playwright's own."""
    if (named := os.environ.get("RACKBOUND_BROWSER")) and os.path.exists(named):
        return named
    if found := _on_path():
        return found
    if shutil.which("apt-get") and hasattr(os, "geteuid") and os.geteuid() == 0:
        print("Installing Debian's chromium for the browser tests ...", flush=True)
        for command in (
            ["apt-get", "update", "-q"],
            ["apt-get", "install", "-qy", "chromium-headless-shell"],
            ["apt-get", "install", "-qy", "chromium"],
        ):
            subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            if found := _on_path():
                return found
    return _playwrights_own()


def _on_path() -> str | None:
    return next((path for name in _BROWSERS if (path := shutil.which(name))), None)


def _playwrights_own() -> str | None:
    from playwright.sync_api import sync_playwright

    def where() -> str | None:
        with sync_playwright() as playwright:
            path = playwright.chromium.executable_path
        return path if os.path.exists(path) else None

    if found := where():
        return found
    print("Downloading a Chromium for the browser tests ...", flush=True)
    subprocess.run(
        [sys.executable, "-m", "playwright", "install", "chromium"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    return where()


def _tool(name: str) -> str:
    return os.path.join(os.path.dirname(sys.executable), name)


def _postgresql() -> str | None:
    """Where a PostgreSQL for tests answers, if anywhere: as told, or this machine's own."""
    import psycopg

    named = os.environ.get("RACKBOUND_TEST_POSTGRESQL")
    for dsn in [named] if named else ["postgresql://root@127.0.0.1/postgres"]:
        try:
            psycopg.connect(dsn, connect_timeout=2).close()
        except psycopg.OperationalError as error:
            if named:
                print(f"RACKBOUND_TEST_POSTGRESQL does not answer: {error}")
            continue
        return dsn
    return None
