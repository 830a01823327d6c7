"""Runs commands in lanes beside each other, and leaves no process behind."""

import contextlib
import os
import signal
import subprocess
import threading
import time
import uuid
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from config.bootstrap import ROOT

# Every process of a run carries it in its environment, whoever started it.
RUN_ID = "RACKBOUND_TEST_RUN"


@dataclass(frozen=True)
class Command:
    """`log` is where pytest writes its report log, for the commands that are pytest's."""

    name: str
    words: Sequence[str]
    environment: dict[str, str] = field(default_factory=dict)
    log: Path | None = None


@dataclass(frozen=True)
class Ended:
    command: Command
    status: int
    seconds: float


class Runner:
    """`run_lanes` runs each lane's commands one after the other, the lanes side by side.

    What a command prints is shown at its end, so that two of them do not mix.
    """

    def __init__(self, *, folder: Path, grace_s: float = 10):
        """`grace_s`: a browser whose driver has ended takes a moment to follow it."""
        self._folder, self._grace_s = folder, grace_s
        self.id = uuid.uuid4().hex[:8]
        self._environment = {**os.environ, RUN_ID: self.id}
        self._running: set[subprocess.Popen] = set()
        self._printing = threading.Lock()
        self._stopped = False

    def run_lanes(
        self, lanes: Sequence[Sequence[Command]], at_end: Callable[[Ended], None]
    ) -> list[Ended]:
        """Raises KeyboardInterrupt, after ending all of it, when this process is told to stop."""
        ended: list[Ended] = []

        def run_lane(lane):
            for command in lane:
                if self._stopped:
                    return
                one = self._run(command)
                with self._printing:
                    ended.append(one)
                    at_end(one)

        threads = [threading.Thread(target=run_lane, args=(lane,), daemon=True) for lane in lanes]
        with _stop_signals_raise():
            try:
                for thread in threads:
                    thread.start()
                for thread in threads:
                    while thread.is_alive():  # a join without end would not see a signal
                        thread.join(0.2)
            except BaseException:
                self._stop()
                raise
        return ended

    def _run(self, command: Command) -> Ended:
        began = time.monotonic()
        printed = self._folder / f"{command.name.replace(' ', '-')}.txt"
        with printed.open("w") as out:
            process = subprocess.Popen(
                command.words,
                cwd=ROOT,
                env={**self._environment, **command.environment},
                stdout=out,
                stderr=subprocess.STDOUT,
                stdin=subprocess.DEVNULL,
                start_new_session=True,
            )
            self._running.add(process)
            status = process.wait()
            self._running.discard(process)
        ended = Ended(command, status, time.monotonic() - began)
        if not self._stopped:
            with self._printing:
                print(f"\n== {command.name}", printed.read_text(), sep="\n", end="", flush=True)
        return ended

    def _stop(self) -> None:
        self._stopped = True
        for process in list(self._running):
            with contextlib.suppress(ProcessLookupError):
                process.send_signal(signal.SIGINT)  # pytest ends its fixtures on it
        deadline = time.monotonic() + 10
        for process in list(self._running):
            with contextlib.suppress(subprocess.TimeoutExpired):
                process.wait(max(0.1, deadline - time.monotonic()))
        self.end_strays()

    def end_strays(self) -> list[str]:
        """Kills what of this run still lives, and names it. Without /proc it finds nothing."""
        deadline = time.monotonic() + self._grace_s
        while any(_processes_with(f"{RUN_ID}={self.id}")) and time.monotonic() < deadline:
            time.sleep(0.1)
        found = []
        for pid, words in _processes_with(f"{RUN_ID}={self.id}"):
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
                found.append(words)
        return found


def _processes_with(setting: str):
    """(pid, command line) of every other process that has `setting` in its environment."""
    for entry in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError):
            if int(entry.name) == os.getpid():
                continue
            if setting.encode() in (entry / "environ").read_bytes().split(b"\0"):
                words = (entry / "cmdline").read_bytes().replace(b"\0", b" ").strip()
                if words:  # a zombie has none
                    yield int(entry.name), words.decode(errors="replace")


@contextlib.contextmanager
def _stop_signals_raise():
    """SIGTERM and SIGHUP end a run as Ctrl-C does, and Ctrl-C does so even where whatever started
    this process ignores it, as shells do for what runs in the background."""

    def interrupt(*_):
        raise KeyboardInterrupt

    names = [signal.SIGINT, signal.SIGTERM]
    names += [signal.SIGHUP] if hasattr(signal, "SIGHUP") else []
    before = {name: signal.signal(name, interrupt) for name in names}
    try:
        yield
    finally:
        for name, handler in before.items():
            signal.signal(name, handler)
