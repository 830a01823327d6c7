"""The floor screen with 500 boards against a bare template rendering the same bytes."""

import os
import subprocess
import sys
from pathlib import Path

from tests.benchmarks.making import make
from tests.benchmarks.report import Check, in_turn, seconds
from tests.benchmarks.serving import ROOT

MOST = 3.0
FEW, MANY = 50, 500
FLOOR = "/floor/"


def measure(folder: Path) -> list[Check]:
    answers = []
    for boards in (FEW, MANY):
        make(folder / str(boards), on_floor=boards, finished=200)
        answers.append(_in_its_own_process(folder / str(boards)))
    (few_queries, _, _, _), (queries, ours, bare, size) = answers
    return [
        Check(
            f"the floor with {MANY} boards against a bare template",
            ours / bare,
            MOST,
            f"{ours * 1e3:.1f} ms, bare {bare * 1e3:.1f} ms, {size / 1e3:.0f} kB",
        ),
        Check(
            f"queries of the floor with {MANY} boards against {FEW}",
            queries / few_queries,
            1.0,
            f"{queries:.0f} and {few_queries:.0f}",
        ),
    ]


def _in_its_own_process(folder: Path) -> list[float]:
    answer = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.floor"],
        cwd=ROOT,
        env={**os.environ, "RACKBOUND_DATA": str(folder)},
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    return [float(word) for word in answer.stdout.split()]


def main() -> None:
    """Prints the queries, seconds of ours, seconds of the bare template, bytes."""
    import django

    django.setup()
    from django.db import connection
    from django.template import Context, engines
    from django.test import Client
    from django.test.utils import (
        CaptureQueriesContext,
        setup_test_environment,
        teardown_test_environment,
    )

    from orders.accounts.models import User

    client = Client(SERVER_NAME="127.0.0.1")
    client.force_login(
        User.objects.get(username="mara"), backend="orders.accounts.backends.PasswordBackend"
    )
    setup_test_environment()  # keeps what the view handed to its template
    client.get(FLOOR)
    with CaptureQueriesContext(connection) as captured:
        answer = client.get(FLOOR)
        queries = len(captured)
    plain = answer.context[0].flatten()
    page = answer.content
    teardown_test_environment()
    template = engines["django"].get_template("stages/floor/floor.html").template
    assert len(template.render(Context(plain)).encode()) == len(page)
    ours, bare = in_turn(
        lambda: seconds(lambda: client.get(FLOOR).content),
        lambda: seconds(lambda: template.render(Context(plain)).encode()),
        rounds=15,
    )
    print(queries, ours, bare, len(page))


if __name__ == "__main__":
    main()
