"""A scan (POST to answer) against the smallest view that reads, inserts and updates one row."""

import os
import subprocess
import sys
import uuid
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import urlencode

from tests.benchmarks.making import make
from tests.benchmarks.report import Check
from tests.benchmarks.serving import ROOT, Times, serving, timed, timed_by_several

CLIENTS = 8
ROUNDS, SCANS = 4, 100
MOST, MOST_TAIL = 2.0, 5.0
_CSRF = "a" * 32


def scans(made: dict, client: int, number: int):
    """Taken in hand and put down again, turn about, on a board of the client's own."""
    code, step = made["waiting"][client]
    for turn in range(number):
        body = urlencode(
            {
                "ticket": code,
                "kind": "paused" if turn % 2 else "taken",
                "ref": str(uuid.uuid4()),
                "step": step,
                "device": "a phone",
                "happened_at": datetime.now(UTC).isoformat(),
            }
        )
        yield (
            "POST",
            "/log/",
            body,
            {
                "Content-Type": "application/x-www-form-urlencoded",
                "Cookie": f"sessionid={made['session']}; csrftoken={_CSRF}",
                "X-CSRFToken": _CSRF,
            },
        )


def bare_scans(client: int, number: int):
    for turn in range(number):
        body = urlencode({"kind": "paused" if turn % 2 else "taken", "ref": str(uuid.uuid4())})
        headers = {"Content-Type": "application/x-www-form-urlencoded"}
        yield "POST", f"/thing{client:03}", body, headers


def make_bare(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    subprocess.run(
        [sys.executable, "-c", _MAKE_BARE],
        cwd=ROOT,
        check=True,
        env={
            **os.environ,
            "RACKBOUND_DATA": str(folder),
            "DJANGO_SETTINGS_MODULE": "tests.benchmarks.bare.settings",
        },
    )


_MAKE_BARE = """
import django; django.setup()
from django.db import connection
from tests.benchmarks.bare.models import Happening, Thing
with connection.schema_editor() as editor:
    editor.create_model(Thing); editor.create_model(Happening)
Thing.objects.bulk_create(Thing(token=f"thing{number:03}") for number in range(50))
"""


def measure(folder: Path) -> list[Check]:
    made = make(folder, on_floor=50, finished=1000)
    make_bare(folder)
    alone, bare_alone, several, bare_several = [], [], [], []
    with (
        serving("config.wsgi:application", "tests.benchmarks.settings", folder) as ours,
        serving("tests.benchmarks.bare.wsgi:application", _BARE, folder) as bare,
    ):
        timed(ours, scans(made, 0, 40), {303})
        timed(bare, bare_scans(0, 40), {303})
        for _ in range(ROUNDS):
            alone += timed(ours, scans(made, 0, SCANS), {303})
            bare_alone += timed(bare, bare_scans(0, SCANS), {303})
            streams = [scans(made, client, SCANS) for client in range(CLIENTS)]
            several += timed_by_several(ours, streams, {303})
            streams = [bare_scans(client, SCANS) for client in range(CLIENTS)]
            bare_several += timed_by_several(bare, streams, {303})
    one, bare_one = Times.of(alone), Times.of(bare_alone)
    many, bare_many = Times.of(several), Times.of(bare_several)
    return [
        Check(
            "a scan against a bare view, 1 client, median",
            one.median / bare_one.median,
            MOST,
            f"{one}; bare {bare_one}",
        ),
        Check(
            f"a scan against a bare view, {CLIENTS} clients, median",
            many.median / bare_many.median,
            MOST,
            f"{many}; bare {bare_many}",
        ),
        Check(
            f"a scan, {CLIENTS} clients, 95th percentile against the median",
            many.p95 / many.median,
            MOST_TAIL,
            f"bare: {bare_many.p95 / bare_many.median:.2f}",
        ),
    ]


_BARE = "tests.benchmarks.bare.settings"
