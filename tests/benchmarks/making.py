"""Makes a database in a process of its own, and tells what a measurement needs to know of it."""

import json
import os
import subprocess
import sys
from pathlib import Path

from tests.benchmarks.serving import ROOT


def make(folder: Path, *, on_floor: int, finished: int) -> dict:
    """A filled database in `folder`: {"waiting": [[code, step]], "session": key}."""
    folder.mkdir(parents=True, exist_ok=True)
    answer = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.making", str(on_floor), str(finished)],
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
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore
    from django.core.management import call_command

    from stages.models import Position
    from tests.benchmarks.history import prepare

    on_floor, finished = map(int, sys.argv[1:])
    call_command("collectstatic", interactive=False, verbosity=0)
    world = prepare(on_floor=on_floor, finished=finished)
    session = SessionStore()
    session[SESSION_KEY] = str(world.mara.pk)
    session[BACKEND_SESSION_KEY] = "orders.accounts.backends.PasswordBackend"
    session[HASH_SESSION_KEY] = world.mara.get_session_auth_hash()
    session.create()
    waiting = [
        [position.board.tickets.get(voided_at=None).code, position.folded["index"]]
        for position in Position.objects.filter(on_floor=True, state="waiting")
    ]
    print(json.dumps({"session": session.session_key, "waiting": waiting}))


if __name__ == "__main__":
    main()
