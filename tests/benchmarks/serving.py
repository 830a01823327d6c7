"""Starts the production server for a measurement, and times requests against it."""

import contextlib
import http.client
import os
import socket
import statistics
import subprocess
import threading
import time
from dataclasses import dataclass
from pathlib import Path

from tests.served import answers, free_port, server_command
from tests.waiting import wait_until

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Times:
    """Seconds from sending a request to having its whole answer."""

    median: float
    p95: float

    @classmethod
    def of(cls, seconds: list[float]) -> "Times":
        seconds = sorted(seconds)
        return cls(statistics.median(seconds), seconds[int(len(seconds) * 0.95)])

    def __str__(self):
        return f"median {self.median * 1e3:.2f} ms, 95th {self.p95 * 1e3:.2f} ms"


@contextlib.contextmanager
def serving(application: str, settings: str, data: Path, **environment):
    """The server of `manage.py run`, on a free port; yields the port."""
    port = free_port()
    environment = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": settings,
        "RACKBOUND_DATA": str(data),
        **environment,
    }
    server = subprocess.Popen(server_command(application, port), cwd=ROOT, env=environment)
    try:
        wait_until(lambda: answers(port), f"no server came up on port {port}")
        yield port
    finally:
        server.terminate()
        server.wait(10)


def timed(port: int, requests, expect: set[int]) -> list[float]:
    """Sends `requests` (method, path, body, headers) over one kept connection, one by one."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    connection.connect()
    connection.sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    taken = []
    for method, path, body, headers in requests:
        start = time.perf_counter()
        connection.request(method, path, body, headers)
        answer = connection.getresponse()
        content = answer.read()
        taken.append(time.perf_counter() - start)
        if answer.status not in expect:
            raise SystemExit(f"{method} {path} answered {answer.status}: {content[:300]!r}")
    connection.close()
    return taken


def timed_by_several(port: int, streams: list, expect: set[int]) -> list[float]:
    """One thread a stream, all at once."""
    results: list[list[float]] = [[] for _ in streams]

    def run(number, stream):
        results[number] = timed(port, stream, expect)

    threads = [
        threading.Thread(target=run, args=(number, stream)) for number, stream in enumerate(streams)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if not all(results):
        raise SystemExit("a client failed; its words are above")
    return [seconds for part in results for seconds in part]
