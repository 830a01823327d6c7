"""In whose hands a board was, from when to when: read from its entries. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from stages.log.fold import Event, Position, fold


@dataclass(frozen=True)
class Stretch:
    """One person's hands on a board; `open` where they are on it still."""

    who: int
    name: str
    stage: str
    helping: bool
    start: datetime
    end: datetime
    open: bool = False

    @property
    def seconds(self) -> float:
        return (self.end - self.start).total_seconds()

    def within(self, start: datetime, end: datetime) -> "Stretch":
        """The part of it between two instants; of no length where there is none."""
        cut = max(self.start, start)
        return replace(
            self, start=cut, end=max(cut, min(self.end, end)), open=self.open and self.end <= end
        )


def stretches(events: Iterable[Event], *, until: datetime) -> list[Stretch]:
    """Of one board, in the order in which they ended; those that are open end at `until`."""
    found, hands, position = [], {}, None
    for event in events:
        position = fold(position, event)
        now_on = _hands(position)
        for key, (stage, start) in list(hands.items()):
            if key not in now_on:
                found.append(Stretch(key[0], key[1], stage, key[2], start, position.last_at))
                del hands[key]
        for key in now_on:
            hands.setdefault(key, (position.step.name, position.last_at))
    for key, (stage, start) in hands.items():
        end = max(start, until)
        found.append(Stretch(key[0], key[1], stage, key[2], start, end, open=True))
    return found


def _hands(position: Position) -> list[tuple[int, str, bool]]:
    holder = [(position.holder, position.holder_name, False)] if position.holder else []
    return holder + [(one.who, one.name, True) for one in position.helpers]


def covered(found: Iterable[Stretch]) -> float:
    """Seconds in which at least one of them ran: two boards at once count once."""
    total, reached = 0.0, None
    for one in sorted(found, key=lambda one: one.start):
        start = one.start if reached is None else max(one.start, reached)
        if one.end > start:
            total += (one.end - start).total_seconds()
        reached = one.end if reached is None else max(reached, one.end)
    return total
