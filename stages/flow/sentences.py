"""The floor's load in plain words: one or two sentences a manager reads standing up."""

from collections.abc import Sequence

from stages.flow.load import FloorLoad, StageLoad


def sentence(load: FloorLoad) -> str:
    """Which stage holds the factory back, with the boards and hours behind it."""
    if not any(s.work.waiting or s.work.in_hand for s in load.stages):
        return "Nothing is waiting."
    parts = []
    if load.nobody:
        parts.append(
            f"Nobody is down for {_names(load.nobody, 'or')} today: {_boards(load.nobody)}, "
            f"about {_hours(_work(load.nobody))} of work."
        )
    if load.bottlenecks:
        parts.append(_bottleneck(load.bottlenecks, after_nobody=bool(load.nobody)))
    if not parts:
        parts.append(f"No work is left on the boards that stand here: {_boards(load.stages)}.")
    return " ".join(parts)


def _bottleneck(tied: Sequence[StageLoad], *, after_nobody: bool) -> str:
    one = len(tied) == 1
    names = _names(tied, "and")
    if after_nobody:
        opening = f"Of the rest, {names} {'has' if one else 'have'} the most to do"
    elif tied[0].days <= 1:
        opening = f"Every stage can clear its work in a day; {names} {'has' if one else 'share'}"
        opening += " the most"
    else:
        opening = f"{names} {'holds' if one else 'hold'} the factory back"
        opening += "" if one else " equally"
    available = sum(s.crew_min for s in tied)
    return (
        f"{opening}: {_boards(tied)}, about {_hours(_work(tied))} of work "
        f"for {_number(available)} available a day."
    )


def _names(stages: Sequence[StageLoad], joined_by: str) -> str:
    names = [s.stage for s in stages]
    if len(names) == 1:
        return names[0]
    return f"{', '.join(names[:-1])} {joined_by} {names[-1]}"


def _boards(stages: Sequence[StageLoad]) -> str:
    waiting = sum(s.work.waiting for s in stages)
    in_hand = sum(s.work.in_hand for s in stages)
    wait = f"{waiting} {'board waits' if waiting == 1 else 'boards wait'}"
    if not in_hand:
        return wait
    if not waiting:
        return f"{in_hand} {'board is' if in_hand == 1 else 'boards are'} in hand"
    return f"{wait} and {in_hand} {'is' if in_hand == 1 else 'are'} in hand"


def _work(stages: Sequence[StageLoad]) -> float:
    return sum(s.work_min for s in stages)


def _hours(minutes: float) -> str:
    number = _number(minutes)
    return f"{number} working {'hour' if number == '1' else 'hours'}"


def _number(minutes: float) -> str:
    """Hours to the nearest half, and to the nearest tenth below one: no finer than we know."""
    hours = minutes / 60
    hours = round(hours * 2) / 2 if hours >= 1 else max(0.1, round(hours, 1))
    return f"{hours:g}"
