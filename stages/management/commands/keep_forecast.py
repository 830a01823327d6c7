"""Keeps the forecast up to date for the pages, at a low priority. `run` starts it by itself; where
another server serves, run one of these beside it."""

import contextlib
import logging
import os
import signal
import sys
import threading
import time

from django.core.management.base import BaseCommand
from django.db import connection
from django.utils import timezone

from stages.bottleneck.gains import keep_gains_once
from stages.morning.keeper import keep_once

LOOK = 3.0  # seconds between two looks
SHARE = 5.0  # rests this many times as long as it worked: at most a sixth of one core
AFTER_ERROR = 30.0

log = logging.getLogger("django.keep_forecast")


class Command(BaseCommand):
    help = __doc__

    def add_arguments(self, parser):
        parser.add_argument(
            "--while-open",
            action="store_true",
            help="stop when the standard input is closed, as it is when the server ends",
        )

    def handle(self, *, while_open, **options):
        if hasattr(os, "nice"):
            os.nice(10)
        if while_open:
            signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C reaches the server, which ends it
            threading.Thread(target=_end_with_the_server, daemon=True).start()
        with contextlib.suppress(KeyboardInterrupt):
            while True:
                time.sleep(look())


def look() -> float:
    """One look and how long to rest after it, in seconds. No error ends the keeper."""
    began = time.monotonic()
    try:
        keep_once(now=timezone.now())
        keep_gains_once(now=timezone.now())
    except Exception:
        log.exception("The forecast could not be worked out; it is tried again.")
        connection.close()
        return AFTER_ERROR
    return max(LOOK, SHARE * (time.monotonic() - began))


def _end_with_the_server() -> None:
    sys.stdin.buffer.read()
    os._exit(0)
