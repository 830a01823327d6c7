"""What is logged without signal, through kills of browser and server: each entry in the log once.

Two Chromium profiles, 200 entries made offline on forty boards, pages loaded anew and browsers
killed meanwhile; then, twenty times over, the server is killed while it takes them in.
"""

import json
import os
import random
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

from tests.benchmarks.report import Check
from tests.benchmarks.serving import ROOT

BOARDS, TAPS = 20, 5  # for each of the two
KILLS = 20
BROWSER_KILLS = 2  # of each browser before anything is sent; as many while it sends


def make(folder: Path) -> dict:
    """Boards waiting for their shaper, by person: their ticket codes."""
    folder.mkdir(parents=True, exist_ok=True)
    answer = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.outbox"],
        cwd=ROOT,
        env={**os.environ, "RACKBOUND_DATA": str(folder)},
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    return json.loads(answer.stdout)


def main() -> None:
    import django

    django.setup()
    from django.core.management import call_command

    from tests.world import World

    call_command("migrate", verbosity=0)
    call_command("collectstatic", interactive=False, verbosity=0)
    world = World()
    codes = {
        who: [world.released().tickets.get().code for _ in range(BOARDS)]
        for who in ("inka", "mara")
    }
    print(json.dumps(codes))


def measure(folder: Path) -> list[Check]:
    from playwright.sync_api import sync_playwright

    from tests.browser.pocket import Phone, kill_server_while_sending, send_the_rest
    from tests.served import Server
    from tests.suite.chromium import find_chromium

    path, missing = find_chromium()
    if not path:
        raise SystemExit(f"outbox: {missing}.")
    chance, codes = random.Random(200), make(folder)
    server = Server(settings="tests.benchmarks.settings", RACKBOUND_DATA=str(folder))
    log = folder / "rackbound.sqlite3"
    browser_kills, in_the_middle = 0, 0
    with server, sync_playwright() as playwright:
        phones = {}
        for who in codes:
            phones[who] = Phone(playwright.chromium, path, folder / f"phone-{who}", server.url)
            phones[who].sign_in(who, codes[who])
            phones[who].without_signal(True)
        start = time.perf_counter()
        for who, phone in phones.items():
            for number, code in enumerate(codes[who], 1):
                phone.work(code, TAPS)
                if number % (BOARDS // (BROWSER_KILLS + 1)) == 0 and number < BOARDS:
                    phone.kill()
                    phone.open()
                    browser_kills += 1
                elif number % 3 == 0:
                    phone.page.reload()
        offline_s = time.perf_counter() - start
        made = {who: phone.made for who, phone in phones.items()}
        kept = {who: phone.kept() for who, phone in phones.items()}
        for kill in range(1, KILLS + 1):
            in_the_middle += kill_server_while_sending(
                server, list(phones.values()), entries=lambda: _entries(log), chance=chance
            )
            for number, phone in enumerate(phones.values()):
                if kill % 10 == 5 + number:
                    phone.kill()
                    phone.open()
                    phone.page.goto("/scan/")
                    browser_kills += 1
                elif kill % 3 == number:
                    phone.page.reload()
        send_the_rest(list(phones.values()), seconds=120)
        for phone in phones.values():
            phone.close()
    return _checks(folder, log, made, kept, in_the_middle, browser_kills, offline_s)


def _checks(folder, log, made, kept, in_the_middle, browser_kills, offline_s) -> list[Check]:
    total = sum(len(refs) for refs in made.values())
    with closing(sqlite3.connect(log)) as connection:
        rows = connection.execute(
            "SELECT ref, recorded_at FROM stages_entry WHERE kind != 'released' ORDER BY id"
        ).fetchall()
        (clashes,) = connection.execute("SELECT count(*) FROM stages_clash").fetchone()
    logged = [ref for ref, _ in rows]
    astray = 0
    for refs in made.values():
        plain = [ref.replace("-", "") for ref in refs]
        mine = set(plain)
        astray += [ref for ref in logged if ref in mine] != plain
    verified = subprocess.run(
        [sys.executable, "manage.py", "verify_log"],
        cwd=ROOT,
        env={**os.environ, "RACKBOUND_DATA": str(folder)},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    told = verified.stdout.strip().splitlines()[-1:]
    return [
        Check(
            f"outbox: entries made offline and not kept on the device, of {total}",
            total - sum(len(refs) for refs in kept.values()) + abs(total - 2 * BOARDS * TAPS),
            0,
            f"made in {offline_s:.0f} s with reloads; browsers killed {browser_kills} times",
        ),
        Check(
            "outbox: kills of the server that were not in the middle of sending",
            KILLS - in_the_middle,
            0,
            f"{KILLS} kills",
        ),
        Check(
            "outbox: entries lost, doubled or clashed",
            len(set(logged) ^ {ref.replace("-", "") for refs in made.values() for ref in refs})
            + len(logged)
            - len(set(logged))
            + clashes,
            0,
            f"{len(logged)} in the log",
        ),
        Check("outbox: devices whose order was not kept", astray, 0, "of 2"),
        Check("outbox: verify_log", verified.returncode, 0, " ".join(told)),
    ]


def _entries(log: Path) -> int:
    with closing(sqlite3.connect(log, timeout=20)) as connection:
        return connection.execute("SELECT count(*) FROM stages_entry").fetchone()[0]


if __name__ == "__main__":
    main()
