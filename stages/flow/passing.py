"""What it costs the other boards when one goes before them. Pure.

The floor is played twice on the same luck, once as it stands and once with the change: so what
differs between the two comes of the change alone (common random numbers: Law, Simulation Modeling
and Analysis, ch. 11), and a board that nobody passed shows no difference at all.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from stages.flow.dates import chance_by, sure_by

FALL = 0.05  # a chance that falls by less is not worth a manager's minute; our choice
CONFIDENCE = 0.8


@dataclass(frozen=True)
class Passed:
    """One board that pays: `index` is its column; days are whole days ahead, with 80 % unless
    asked otherwise. The chances to keep its promise are None where it has no promise."""

    index: int
    chance_before: float | None
    chance_after: float | None
    day_before: int
    day_after: int

    @property
    def fall(self) -> float:
        """How much of the chance is lost, from 0 to 1."""
        return 0.0 if self.chance_before is None else self.chance_before - self.chance_after


def passed(
    before: np.ndarray,
    after: np.ndarray,
    promised_days: Sequence[int | None],
    *,
    fall: float = FALL,
    confidence: float = CONFIDENCE,
) -> list[Passed]:
    """The boards that lose at least `fall` of their chance, or whose day becomes a later one.

    `before[r, b]` and `after[r, b]` are days ahead (flow.dates.Days.of) of the same boards in the
    same replications; `promised_days[b]` is the promised day on that count, None without one. The
    dearest first. ValueError where the two floors are not of one shape.
    """
    if before.shape != after.shape or before.shape[1] != len(promised_days):
        raise ValueError("Both floors need the same replications and boards, one promise a board.")
    changed = np.flatnonzero((before != after).any(axis=0))
    rows = [_of_board(before, after, promised_days[b], int(b), confidence) for b in changed]
    paying = [
        row for row in rows if row.fall >= fall - 1e-9 or row.day_after > row.day_before
    ]
    return sorted(paying, key=lambda row: (-row.fall, row.day_before - row.day_after, row.index))


def _of_board(before, after, promised: int | None, index: int, confidence: float) -> Passed:
    was, becomes = before[:, index], after[:, index]
    return Passed(
        index=index,
        chance_before=None if promised is None else chance_by(was, promised),
        chance_after=None if promised is None else chance_by(becomes, promised),
        day_before=sure_by(was, confidence),
        day_after=sure_by(becomes, confidence),
    )
