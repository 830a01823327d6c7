"""The one answer to what holds the factory back, for the pages that say it."""

from datetime import datetime

from stages.bottleneck.gains import gains_known
from stages.bottleneck.words import Verdict, verdict
from stages.flow.load import FloorLoad


def verdict_now(load: FloorLoad, *, now: datetime) -> Verdict:
    """From the gains as they are known; nothing is played for it."""
    return verdict(load, gains_known(now=now))
