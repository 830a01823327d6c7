"""The floor played forward from where it stands, many times over.

Boards wait at stages. A crew member who is free and at work takes the most pressing board they have
the skill for, where the bay has a place left, and works on it in their own hours, over breaks
and nights. Then it rests, by the clock on the wall, and goes on to its next step or is sent back.
Boards not yet released come onto the floor when it has room under its limit, or next when somebody
lets them on, where there are times for that.

Where two things happen at one instant: first hands finish, in the order of the crew, the boards of
one session in the order of rank; then boards are back from outside, then boards are free to take,
each in the order of the boards; then orders come; then shifts begin; then boards are released.
After all of these, hands that are free take, in the order of the crew, the boards of the smallest
rank at any one of their stages, of those the one due first, and look once more until nobody takes.
A shift's last instant is no part of it: nobody begins then.

Times are minutes from now. Compiled by numba at first use and kept on disk.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from stages.flow import playing, records
from stages.flow.luck import LOGNORMAL
from stages.flow.queues import empty


@dataclass(frozen=True)
class Step:
    """One stage of a board's way: hands-on minutes on average and how they vary (flow.luck), the
    rest after it in minutes; `back` is the chance to be sent back then, to step `back_to` of it,
    `hold` the chance to be held before the next step, for `held` minutes by the clock on average
    (exponential).
    """

    stage: int
    minutes: float
    rest: float = 0.0
    spread: int = LOGNORMAL
    cv: float = 0.5
    back: float = 0.0
    back_to: int = 0
    hold: float = 0.0
    held: float = 0.0


@dataclass(frozen=True)
class Board:
    """A board, by a `key` of its own. `rank` orders the queues, smallest first, no two equal.

    It waits from `free_at` on for step `start`, or, `unreleased`, is ordered then and waits for
    the floor to have room. `hand` is who has that step in hand already (-1: nobody), `begun` the
    minutes that were worked on it. One that is `held` is so for as many minutes more by the clock
    on average (exponential). An unreleased one comes at all with the chance `likely`. Of boards
    at several stages the one `due` first is taken, of equals the smallest rank.
    """

    key: int
    rank: float
    steps: tuple[Step, ...]
    start: int = 0
    free_at: float = 0.0
    unreleased: bool = False
    hand: int = -1
    begun: float = 0.0
    held: float = 0.0
    likely: float = 1.0
    due: float = 0.0


@dataclass(frozen=True)
class Hand:
    """A crew member: how long each stage they can do takes them (1: the usual time), their shifts
    (start, end) in order, and the share of days they are `absent`, in spells of so many days on
    average; `away` on the last day. Days begin at `midnight`. At a stage they put off, boards count
    as due so many minutes `later`.
    """

    pace: dict[int, float]
    shifts: tuple[tuple[float, float], ...]
    absent: float = 0.0
    spell: float = 1.0
    away: bool = False
    midnight: float = 0.0
    later: dict[int, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Bay:
    """Room for `places` boards in hand and `racks` resting (0: no limit) in all its stages. They
    are told by its `key`, 0 or more."""

    key: int
    places: int = 0
    racks: int = 0


@dataclass(frozen=True)
class Stage:
    """A kind of work, and the bay where it is done.

    There is room for `places` boards in hand and `racks` resting after it (0: no limit), and in all
    of the `bay` for as many as that has; a board that finds no rack rests in its place. `session`
    boards are done in one go, all finished at its end, in `together` times the minutes they take
    one by one. Work that is `whole` is not left half-way: it is not begun where it would run more
    than `over` minutes past a shift that could hold it, and such minutes are worked at once. An
    `outside` stage needs no hands of ours: its minutes are a turn-round by the wall clock. `doubt`
    is the coefficient of variation of what is not known of the stage itself: one factor a
    replication on all its minutes. Where there are `hours` (start, end), in order, boards are begun
    and worked on only then, and whoever has one in hand waits for them.
    """

    bay: Bay | None = None
    places: int = 0
    racks: int = 0
    session: int = 1
    together: float = 1.0
    outside: bool = False
    whole: bool = False
    over: float = 0.0
    doubt: float = 0.0
    hours: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class Outcome:
    """`done[r, b]`: when board b is done in replication r; infinite where the shifts end first.
    `waited[b, s]`: minutes board b waits for hands at stage s, and `worked[h]` minutes hand h
    works, both means over the replications.
    """

    done: np.ndarray
    waited: np.ndarray
    worked: np.ndarray


def simulate(
    boards: list[Board],
    crew: list[Hand],
    stages: list[Stage],
    *,
    replications: int,
    seed: int,
    limit: int = 0,
    releases: Sequence[float] = (),
    oldest_first: bool = False,
) -> Outcome:
    """Play the floor `replications` times. `limit` is the most boards on the floor (0: none),
    `releases` are the times, in order, when boards are let onto it (none: as soon as it has room):
    those of the smallest rank, or what was ordered first (`oldest_first`).
    """
    order = sorted(range(len(boards)), key=lambda b: boards[b].rank)
    place = np.argsort(order)
    floor = np.zeros(1, records.FLOOR)
    floor["limit"], floor["at_times"] = limit, len(releases) > 0
    hands, rooms, shifts, arrivals = _hands(crew, stages, releases)
    holders = _in_hand(boards, stages, len(crew))
    rows, steps = _boards([boards[b] for b in order], [holders[b] for b in order])
    turns = np.arange(len(boards))
    rows["in_turn"] = np.argsort(rows["free_at"], kind="stable") if oldest_first else turns
    rows["turn"][rows["in_turn"]] = turns
    events = np.empty(2 * len(boards) + 1, records.EVENT)
    doing = np.empty((len(crew), len(boards) + 1), np.int64)
    queues = empty(len(stages) + 1, len(boards))  # the last: orders
    done = np.full((replications, len(boards)), records.NEVER)
    waited = np.zeros((len(boards), len(stages)))
    playing.play(
        floor, rows, steps, hands, _able(crew, len(stages)), rooms, shifts, arrivals, events,
        doing, queues, done, waited, seed,
    )  # fmt: skip
    return Outcome(done[:, place], waited[place] / replications, hands["worked"] / replications)


def _in_hand(boards: list[Board], stages: list[Stage], hands: int) -> list[int]:
    """Who works on which board; -1: nobody. Of several boards in one hand it is the first, and
    those that are done in one go with it: the others wait."""
    own = [[] for _ in range(hands)]
    for b, board in enumerate(boards):
        if board.hand >= 0 and not board.unreleased:
            own[board.hand].append(b)
    holders = [-1] * len(boards)
    for hand, held in enumerate(own):
        at = [boards[b].steps[boards[b].start].stage for b in held]
        together = [b for b, stage in zip(held, at, strict=True) if stage == at[0]]
        for b in together[: stages[at[0]].session if at else 0]:
            holders[b] = hand
    return holders


def _boards(boards: list[Board], holders: list[int]):
    """A record a board and one a step."""
    rows = np.zeros(len(boards), records.BOARD)
    rows["last"] = np.cumsum([len(board.steps) for board in boards])
    rows["first"] = rows["last"] - [len(board.steps) for board in boards]
    rows["hand"] = holders
    _fill(rows, boards, "key", "free_at", "unreleased", "start", "begun", "held", "likely",
          "due")  # fmt: skip
    ways = [step for board in boards for step in board.steps]
    steps = np.zeros(len(ways), records.STEP)
    _fill(steps, ways, "stage", "minutes", "rest", "spread", "cv", "back", "back_to",
          "hold", "held")  # fmt: skip
    return rows, steps


def _hands(crew: list[Hand], stages: list[Stage], releases: Sequence[float]):
    """A record a hand, one a stage, one a shift still to come, and which shift of whom begins
    when: the releases' come last, as moments."""
    hands, rows = np.zeros(len(crew), records.HAND), np.zeros(len(stages), records.STAGE)
    _fill(hands, crew, "absent", "spell", "away", "midnight")
    _fill(rows, stages, "places", "racks", "session", "together", "outside", "whole", "over",
          "doubt")  # fmt: skip
    rooms: dict[int, int] = {}
    for place, stage in enumerate(stages):
        bay = stage.bay or Bay(-1 - place)
        rows[place]["room"] = rooms.setdefault(bay.key, place)
        rows[place]["bay_places"], rows[place]["bay_racks"] = bay.places, bay.racks
    all_shifts = [hand.shifts for hand in crew] + [stage.hours for stage in stages]
    all_shifts.append([(at, at) for at in releases])
    to_come = [[shift for shift in own if shift[1] > 0.0] for own in all_shifts]
    counts = np.array([len(own) for own in to_come], dtype=np.int64)
    last = np.cumsum(counts)
    hands["first"], rows["first"] = np.split((last - counts)[:-1], [len(crew)])
    hands["last"], rows["last"] = np.split(last[:-1], [len(crew)])
    flat = np.array([shift for own in to_come for shift in own], dtype=float).reshape(-1, 2)
    shifts = np.zeros(len(flat), records.SHIFT)
    shifts["opens"], shifts["closes"] = flat[:, 0], flat[:, 1]
    whose = np.repeat(np.arange(len(counts)), counts)
    order = np.lexsort((whose, np.maximum(shifts["opens"], 0.0)))
    return hands, rows, shifts, np.stack((order, whose[order]), axis=1)


def _able(crew: list[Hand], stages: int):
    able = np.zeros((len(crew), stages), records.ABLE)
    for h, hand in enumerate(crew):
        for stage, takes in hand.pace.items():
            able["pace"][h, stage] = takes
            able["later"][h, stage] = hand.later.get(stage, 0.0)
    return able


def _fill(rows, things: list, *names: str) -> None:
    for name in names:
        rows[name] = [getattr(thing, name) for thing in things]


