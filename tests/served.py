"""The production server as a process of its own, on a database of the tests: to be killed."""

import contextlib
import os
import signal
import socket
import subprocess
import sys
from pathlib import Path

from config.management.commands.run import THREADS
from tests.waiting import wait_until

ROOT = Path(__file__).resolve().parents[1]


def answers(port: int) -> bool:
    with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port)):
        return True
    return False


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def server_command(application: str, port: int) -> list[str]:
    """What `manage.py run` starts, on this machine alone."""
    return [
        *(sys.executable, "-m", "granian", application, "--interface", "wsgi"),
        *("--host", "127.0.0.1", "--port", str(port), "--workers", "1"),
        *("--blocking-threads", str(THREADS), "--no-ws", "--log-level", "warning"),
    ]


class Server:
    """`kill` is a SIGKILL to every process of it: nothing is put in order before it dies."""

    def __init__(self, *, settings: str, **environment: str):
        self.port = free_port()
        self._environment = {**os.environ, "DJANGO_SETTINGS_MODULE": settings, **environment}
        self._process = None
        self._started_once = False

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """On the port it had before, if any: devices come back to that one."""
        for _ in range(5):
            self._launch()
            wait_until(
                lambda: answers(self.port) or self._process.poll() is not None,
                f"no server came up on port {self.port}",
            )
            if self._process.poll() is None:
                self._started_once = True
                return
            if self._started_once:
                break
            self.port = free_port()  # somebody else was given it between our asking and using it
        raise RuntimeError(f"the server on port {self.port} ended as soon as it was started")

    def _launch(self) -> None:
        self._process = subprocess.Popen(
            server_command("config.wsgi:application", self.port),
            cwd=ROOT,
            env=self._environment,
            start_new_session=True,
        )

    def kill(self) -> None:
        if self._process is None:
            return
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self._process.pid, signal.SIGKILL)
        self._process.wait()
        self._process = None
        # Its workers die a moment after it, and until then the port is theirs.
        wait_until(lambda: not answers(self.port), f"the killed server answers on {self.port}")

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
