"""Things done at the same moment, each in a thread with a connection of its own."""

from collections.abc import Callable, Sequence
from threading import Barrier, Thread

from django.db import connection

from tests.waiting import PATIENCE_S


def at_once(deeds: Sequence[Callable[[], object]]) -> list:
    """What each of them returned, in their order; None of one that raised."""
    start, answers = Barrier(len(deeds)), [None] * len(deeds)

    def run(place: int) -> None:
        try:
            start.wait(PATIENCE_S)
            answers[place] = deeds[place]()
        finally:
            connection.close()

    threads = [Thread(target=run, args=[place]) for place in range(len(deeds))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers
