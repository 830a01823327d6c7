"""What the invented riders say of their boards, some weeks after they fetched them."""

import random
from datetime import datetime, timedelta

from orders.accounts.models import User
from orders.rides.models import SCALES, RideNote
from stages.demo.days import ZONE
from stages.log.models import Position

_ONE_IN = 9
# (words, the scale it speaks of and what that was given)
_SAID = [
    ("Slides out when it gets steep. More hold in the tail next time.", ("hold", 2)),
    ("Never paddled anything so easy. Do not touch the nose.", ("paddle", 5)),
    ("Stiff off the top; wants to go straight. A little less tail?", ("pivot", 2)),
    ("Fast down the line, faster than the old one.", ("drive", 5)),
    ("Sticks in the lip. Would like it to let go a touch sooner.", ("release", 2)),
    ("The same again, please, and an eighth thinner.", ("drive", 4)),
    ("Rides lower in the water than I hoped. Half a litre more under the chest.", ("paddle", 2)),
    ("", ("hold", 4)),
]


def hear_riders(*, seed: int, desk: User, now: datetime) -> None:
    """Notes on about one in nine of the boards handed over; a third from the riders' own pages."""
    rng = random.Random(f"{seed}: rides")
    gone = Position.objects.filter(state="handed_over").order_by("board__number")
    notes = []
    for board, passed_at in gone.values_list("board", "passed_at"):
        said_at = passed_at + timedelta(days=rng.uniform(12, 60))
        if rng.randrange(_ONE_IN) or said_at > now:
            continue
        words, (scale, given) = rng.choice(_SAID)
        scales = {name: rng.choice([None, 3, 4, 4, 5]) for name in SCALES} | {scale: given}
        notes.append(
            RideNote(
                board_id=board,
                said_on=said_at.astimezone(ZONE).date(),
                words=words,
                noted_by=rng.choice([desk, desk, None]),
                noted_at=said_at,
                **scales,
            )
        )
    RideNote.objects.bulk_create(notes)
