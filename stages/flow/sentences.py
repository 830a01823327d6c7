"""The floor's load in plain words: one or two sentences a manager reads standing up.

`sentence` is the whole answer where the floor was not played forward; `nobody`, `most` and
`standing` are its parts, for whoever has played it.
"""

from collections.abc import Sequence

from stages.flow.load import FloorLoad, StageLoad


def sentence(load: FloorLoad) -> str:
    """Which stage holds the factory back, with the boards and hours behind it."""
    if not any(s.work.waiting or s.work.in_hand for s in load.stages):
        return "Nothing is waiting."
    parts = []
    if load.nobody:
        parts.append(nobody(load))
    if load.bottlenecks:
        parts.append(_bottleneck(load, after_nobody=bool(load.nobody)))
    if not parts:
        parts.append(f"No work is left on the boards that stand here: {_boards(load.stages)}.")
    return " ".join(parts)


def nobody(load: FloorLoad) -> str:
    """Of work that stands where nobody is there to do it; empty where there is none."""
    if not load.nobody:
        return ""
    return (
        f"Nobody is down for {_names(load.nobody, 'or')} today: {_boards(load.nobody)}, "
        f"about {_hours(_work(load.nobody))} of work."
    )


def most(load: FloorLoad) -> str:
    """The stages with the most days of work, joined as they are said."""
    return _names(load.bottlenecks, "and") if load.bottlenecks else ""


def standing(load: FloorLoad) -> str:
    """5 boards wait, about 11 working hours of work for 7.5 available a day; of `most`."""
    tied = load.bottlenecks
    return (
        f"{_boards(tied)}, about {_hours(_work(tied))} of work for "
        f"{_number(sum(s.crew_min for s in tied))} available a day"
    )


def _bottleneck(load: FloorLoad, *, after_nobody: bool) -> str:
    tied = load.bottlenecks
    one, names = len(tied) == 1, most(load)
    if after_nobody:
        opening = f"Of the rest, {names} {'has' if one else 'have'} the most to do"
    elif tied[0].days <= 1:
        opening = f"Every stage can clear its work in a day; {names} {'has' if one else 'share'}"
        opening += " the most"
    else:
        opening = f"{names} {'holds' if one else 'hold'} the factory back"
        opening += "" if one else " equally"
    return f"{opening}: {standing(load)}."


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
