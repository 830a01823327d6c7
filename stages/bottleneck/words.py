"""What the three readings come to, in words a manager reads standing up. No Django."""

from collections.abc import Sequence
from dataclasses import dataclass

from stages.flow.bottleneck import Gain, Growth

GREW = 2  # boards from the first day to the last; our choice


@dataclass(frozen=True)
class Says:
    """One stage's readings: days of work (None: work and nobody to do it), queue, gain."""

    name: str
    days: float | None
    queue: Growth | None
    gain: Gain | None


@dataclass(frozen=True)
class Verdict:
    headline: str
    agreement: str
    because: tuple[str, ...] = ()


def verdict(stages: Sequence[Says], *, weeks: int) -> Verdict:
    """Which stage each reading names, whether they agree, and what to make of it if not."""
    load, queue, gain = _loaded(stages), _growing(stages), _gaining(stages)
    named = {stage.name for stage in (load, queue, gain) if stage}
    if not named and not any(stage.gain for stage in stages):
        return Verdict("There is no work yet, so nothing holds the factory back.", "")
    if gain is None:
        return _no_gain(load, queue, weeks)
    wins = f"a tenth more time there would bring {gained(gain.gain)}"
    if named == {gain.name}:
        moves = gain.queue if gain.queue and gain.queue.told else None
        grows = f"its queue {grown(moves)}, " if moves else ""
        has = f"{days_of_work(load)} of work stand there, " if load else ""
        return Verdict(
            f"{gain.name} holds the factory back: {has}{grows}and {wins}.",
            "All three readings agree." if load and queue else _agree(load, queue, moves),
        )
    others = []
    if load and load.name != gain.name:
        others.append(f"most work stands at {load.name}, {days_of_work(load)} of it")
    if queue and queue.name != gain.name:
        others.append(f"the queue at {queue.name} {grown(queue.queue)}")
    return Verdict(
        f"Look at {gain.name} first: {wins}.",
        f"The readings disagree: {', and '.join(others)}.",
        _because(load, queue, gain, weeks),
    )


def _agree(load: Says | None, queue: Says | None, moves: Growth | None) -> str:
    if queue:
        return "The queue and the gain agree; nothing stands at any stage now."
    if load and moves:
        return "The load and the gain agree; the queue is being worked off as it is."
    if load:
        return "The load and the gain agree; no queue grows by more than chance."
    return "Nothing stands at any stage now and no queue grows: only the gain says so."


def _no_gain(load: Says | None, queue: Says | None, weeks: int) -> Verdict:
    opening = (
        "A tenth more time at any one of them would bring no more boards in "
        f"{weeks} weeks than chance does."
    )
    if queue is None:
        now = f" The most work stands at {load.name}: {days_of_work(load)}." if load else ""
        return Verdict(
            f"No stage by itself holds the factory back.{now}",
            opening,
            ("Where the crew keeps up with the orders, more boards come of more orders alone.",),
        )
    return Verdict(
        f"The readings disagree: the queue at {queue.name} {grown(queue.queue)}, but more time at "
        "no stage by itself would bring more boards.",
        opening,
        (
            "The queue tells of the past, the gain of the weeks to come: with hands, hours and "
            "orders as they are now the queue may stop growing, or the crew may be shared so that "
            "no stage alone helps.",
        ),
    )


def _because(load: Says | None, queue: Says | None, gain: Says, weeks: int) -> tuple[str, ...]:
    reasons = []
    if load and load.name != gain.name:
        reasons.append(
            f"Days of work count what stands at a stage now; boards still on their way to "
            f"{gain.name} are not among them, nor is what a rest, a batch or a place holds up."
        )
    if queue and queue.name != gain.name:
        reasons.append(
            f"The queue at {queue.name} tells of the past; the gain tells of the next {weeks} "
            "weeks, with the hands, hours and orders as they are now."
        )
    return tuple(reasons)


def _loaded(stages: Sequence[Says]) -> Says | None:
    """Nobody for work that waits is worse than any number of days."""
    nobody = [stage for stage in stages if stage.days is None]
    busy = [stage for stage in stages if stage.days]
    return nobody[0] if nobody else max(busy, key=lambda stage: stage.days, default=None)


def _growing(stages: Sequence[Says]) -> Says | None:
    """Where one board more waits than did, or none, no queue grows that is worth a word."""
    told = [s for s in stages if s.queue and s.queue.told and s.queue.per_week > 0]
    told = [s for s in told if s.queue.last - s.queue.first >= GREW]
    return max(told, key=lambda stage: stage.queue.per_week, default=None)


def _gaining(stages: Sequence[Says]) -> Says | None:
    told = [s for s in stages if s.gain and s.gain.boards.told and s.gain.boards.more > 0]
    return max(told, key=lambda stage: stage.gain.boards.more, default=None)


def days_of_work(stage: Says) -> str:
    if stage.days is None:
        return "more than anybody is there for"
    return "1.0 day" if round(stage.days, 1) == 1.0 else f"{stage.days:.1f} days"


def grown(queue: Growth) -> str:
    """grows by about 1.2 boards a week"""
    word = "grows" if queue.per_week > 0 else "shrinks"
    return f"{word} by about {boards(abs(queue.per_week))} a week"


def gained(gain: Gain) -> str:
    """1.1 boards a week more, give or take 0.2"""
    return f"{boards(gain.boards.more)} a week more, give or take {gain.boards.give:.1f}"


def boards(number: float) -> str:
    return f"{number:.1f} {'board' if f'{number:.1f}' == '1.0' else 'boards'}"
