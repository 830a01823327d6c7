"""How sure the invented counter was of each date it gave: by feel at first, worked out later."""

import random
from datetime import datetime, timedelta

from orders.orderbook.models import Board, Promise
from stages.demo.jobs import Job
from stages.log.fold import Kind

_BY_FEEL_BEFORE = timedelta(days=330)
_CHOSEN = [85] * 11 + [80] * 4 + [90] * 3 + [None] * 5  # None: by feel all the same


def write_promises(
    jobs: list[Job], boards: list[Board], *, cleo: int, seed: int, now: datetime
) -> None:
    """Every date of every board, those given anew on the floor too; the latter by feel."""
    rng = random.Random(f"{seed}: promises")
    promises = []
    for job, board in zip(jobs, boards, strict=True):
        sure = rng.choice(_CHOSEN)
        if now - job.asked.ordered_at > _BY_FEEL_BEFORE or job.remake_of is not None:
            sure = None
        chance = sure and min(0.99, sure / 100 + rng.uniform(0, 0.05))
        given = [(job.asked.ordered_at, job.asked.promised_on.isoformat(), sure, chance, {})]
        given += [
            (logged.event.at, logged.event.payload["on"], None, None, logged.event.payload)
            for logged in job.log
            if logged.event.kind is Kind.PROMISED
        ]
        promises += (
            Promise(
                board=board, given_at=at, given_by_id=cleo, promised_on=on,
                confidence_percent=percent, chance=likely,
                moved_for=moved.get("why", ""), moved_words=moved.get("reason", ""),
            )
            for at, on, percent, likely, moved in given
        )
    Promise.objects.bulk_create(promises, batch_size=500)
