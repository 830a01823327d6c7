"""The production server as a process of its own, on a database of the tests: to be killed."""

import contextlib
import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

from config.management.commands.run import THREADS

ROOT = Path(__file__).resolve().parents[1]


def answers(port: int) -> bool:
    with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port)):
        return True
    return False


class Server:
    """`kill` is a SIGKILL to every process of it: nothing is put in order before it dies."""

    def __init__(self, *, settings: str, **environment: str):
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self.url = f"http://127.0.0.1:{self.port}"
        self._environment = {**os.environ, "DJANGO_SETTINGS_MODULE": settings, **environment}
        self._process = None

    def start(self) -> None:
        self._process = subprocess.Popen(
            [
                *(sys.executable, "-m", "granian", "config.wsgi:application"),
                *("--interface", "wsgi", "--host", "127.0.0.1", "--port", str(self.port)),
                *("--workers", "1", "--blocking-threads", str(THREADS)),
                *("--no-ws", "--log-level", "warning"),
            ],
            cwd=ROOT,
            env=self._environment,
            start_new_session=True,
        )
        for _ in range(300):
            if answers(self.port):
                return
            if self._process.poll() is not None:
                break
            time.sleep(0.05)
        raise RuntimeError(f"no server came up on port {self.port}")

    def kill(self) -> None:
        if self._process is None:
            return
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self._process.pid, signal.SIGKILL)
        self._process.wait(10)
        self._process = None
        # Its workers die a moment after it, and until then the port is theirs.
        for _ in range(1000):
            if not answers(self.port):
                return
            time.sleep(0.01)
        raise RuntimeError(f"the server that was killed still answers on port {self.port}")

    def __enter__(self):
        self.start()
        return self

    def __exit__(self, *error):
        self.kill()


def beside_the_tests() -> Server:
    """On the database of the running test, which must be one that commits."""
    from django.db import connection

    return Server(
        settings="tests.served_settings", SERVED_DATABASE=str(connection.settings_dict["NAME"])
    )
