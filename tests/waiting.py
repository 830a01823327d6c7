"""Waiting for a state, however slow the machine is. Nothing waits for a time to pass."""

import time
from collections.abc import Callable

# Only a test that fails waits this long.
PATIENCE_S = 90


def wait_until(reached: Callable[[], object], otherwise: str, *, page=None):
    """Returns what `reached()` answered once it is true; fails with `otherwise`.

    With a `page` the browser's own events, and the routes a test has set, go on meanwhile.
    """
    deadline = time.monotonic() + PATIENCE_S
    while not (answer := reached()):
        assert time.monotonic() < deadline, otherwise
        if page is None:
            time.sleep(0.02)
        else:
            page.wait_for_timeout(20)
    return answer
