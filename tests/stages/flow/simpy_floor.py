"""The floor once more, written apart in SimPy's own terms: processes that wait for one another.

It shares the draws with stages.flow.simulation (so that both can be given the same luck) and
nothing else.
"""

import math
from functools import cache

import simpy

from stages.flow.luck import ABSENT, BACK, COMES, DOUBT, HOLD, chance, factor, minutes_drawn
from stages.flow.records import NEVER
from stages.flow.simulation import Board, Hand, Stage
from stages.flow.way import MOST_ATTEMPTS

LAST = 5  # after everything else that happens at an instant


class Floor:
    def __init__(
        self, boards: list[Board], crew: list[Hand], stages: list[Stage], *, limit=0, seed=0, r=0,
        releases=(), oldest_first=False,
    ):  # fmt: skip
        self.env = simpy.Environment()
        self.boards, self.crew, self.stages = boards, crew, stages
        self.limit, self.seed, self.r = limit, seed, r
        self.releases, self.let_on = releases, not releases
        self.oldest_first = oldest_first
        self.due = {board.rank: board.due for board in boards}
        self.waiting = [[] for _ in stages]  # (rank, board, event that starts it)
        self.places = [0] * len(stages)
        self.racks = [0] * len(stages)
        self.mates = [
            [t for t in range(len(stages)) if t == s or (stage.bay and stages[t].bay == stage.bay)]
            for s, stage in enumerate(stages)
        ]  # the stages of the same bay
        self.on_floor = sum(not board.unreleased for board in boards)
        self.ordered = []
        self.done = [NEVER] * len(boards)
        self.shifts = [self.shifts_of(h) for h in range(len(crew))]
        self.idle = [True] * len(crew)
        self.called = False

    def play(self) -> list[float]:
        in_hand = {}
        for h in range(len(self.crew)):
            in_hand |= self.going_on(h)
        for b, board in enumerate(self.boards):
            if board.unreleased:
                self.env.process(self.order(b))
            else:
                self.env.process(self.way(b, over=in_hand.get(b)))
        for shifts in (*self.shifts, *(stage.hours for stage in self.stages)):
            self.env.process(self.come_and_go(shifts))
        self.env.process(self.desk())
        self.env.run()
        return self.done

    def going_on(self, h):
        """What somebody is at now: the event at its end, for each board of it."""
        own = [b for b, board in enumerate(self.boards) if board.hand == h and not board.unreleased]
        at = [self.boards[b].steps[self.boards[b].start].stage for b in own]
        own = [b for b, stage in zip(own, at, strict=True) if stage == at[0]]
        if not own:
            return {}
        own = sorted(own[: self.stages[at[0]].session], key=lambda b: self.boards[b].rank)
        pace, left, overs = self.crew[h].pace.get(at[0], 1.0), 0.0, {}
        for b in own:
            board = self.boards[b]
            left += pace * self.minutes(b, board.start, 0, board.begun / pace) - board.begun
            self.places[at[0]] += 1
            overs[b] = self.env.event()
        self.env.process(self.session(h, at[0], list(overs.values()), left))
        return overs

    def shifts_of(self, h):
        """The shifts somebody comes to: absence goes on, or begins, from one day to the next."""
        hand = self.crew[h]
        stays = max(hand.absent, 1 - 1 / hand.spell)
        begins = hand.absent * (1 - stays) / (1 - hand.absent)
        there, last, away = [], None, hand.away
        for opens, closes in hand.shifts:
            if closes <= 0:
                continue
            day = math.floor((opens - hand.midnight) / 1440) + 100_000
            if opens <= 0 or not hand.absent:
                away = False
            elif day != last:
                luck = chance(self.seed, self.r, h, day, 0, ABSENT, 0)
                away = luck < (stays if away else begins)
            last = day
            if not away:
                there.append((opens, closes))
        return tuple(there)

    def come_and_go(self, shifts):
        """Whoever begins a shift, or finds a stage opened, looks what there is to do."""
        for opens, _ in shifts:
            if opens > self.env.now:
                yield self.env.timeout(opens - self.env.now)
            self.call()

    def desk(self):
        """Lets on what there is room for, at its times."""
        for at in self.releases:
            if at > 0:
                yield self.env.timeout(at - self.env.now)
                self.let_on = True
                self.call()

    def order(self, b):
        """It is asked for, and waits until the floor has room."""
        board = self.boards[b]
        if chance(self.seed, self.r, board.key, 0, 0, COMES, 0) >= board.likely:
            return
        if board.free_at > self.env.now:
            yield self.env.timeout(board.free_at - self.env.now)
        turn = board.free_at if self.oldest_first else board.rank
        self.ordered.append((turn, board.rank, b))
        self.call()

    def release(self):
        while self.ordered and (not self.limit or self.on_floor < self.limit):
            first = min(self.ordered)
            self.ordered.remove(first)
            self.on_floor += 1
            self.env.process(self.way(first[-1]))

    def way(self, b, over=None):
        """One board from step to step."""
        board = self.boards[b]
        free = max(board.free_at, self.env.now)
        if board.held and not board.unreleased:
            luck = chance(self.seed, self.r, board.key, board.start, 0, HOLD, 2)
            free -= board.held * math.log(luck)
        if not over and free > self.env.now:
            yield self.env.timeout(free - self.env.now)
        attempts, s = [0] * len(board.steps), board.start
        while s < len(board.steps):
            step = board.steps[s]
            stage = self.stages[step.stage]
            begun = board.begun if s == board.start and not attempts[s] else 0.0
            minutes = self.minutes(b, s, attempts[s], begun) - begun
            if stage.outside:
                yield self.env.timeout(minutes)
            else:
                if not over:
                    over = self.env.event()
                    self.waiting[step.stage].append((board.rank, minutes, over))
                    self.call()
                yield over
                over = None
                self.places[step.stage] -= 1
            lucky = step.back <= 0 or attempts[s] + 1 >= MOST_ATTEMPTS or (
                chance(self.seed, self.r, board.key, s, attempts[s], BACK, 0) >= step.back
            )
            if not lucky:
                for again in range(step.back_to, s + 1):
                    attempts[again] += 1
                s = step.back_to
                continue
            if s + 1 < len(board.steps):
                yield from self.rest(step, stage, self.hold(board, s, attempts[s]))
            s += 1
        self.done[b] = self.env.now
        self.on_floor -= 1
        self.call()

    def hold(self, board, s, attempt):
        step, whose = board.steps[s], (self.seed, self.r, board.key, s, attempt, HOLD)
        if not step.hold or chance(*whose, 0) >= step.hold:
            return 0.0
        return -step.held * math.log(chance(*whose, 1))

    def rest(self, step, stage, hold):
        if stage.outside or not step.rest:
            if step.rest + hold:
                yield self.env.timeout(step.rest + hold)
            return
        bays = stage.bay.racks if stage.bay else 0
        free = has_room(self.racks, step.stage, self.mates[step.stage], stage.racks, bays)
        room = self.racks if free else self.places
        room[step.stage] += 1
        yield self.env.timeout(step.rest + hold)
        room[step.stage] -= 1
        self.call()

    def minutes(self, b, s, attempt, begun):
        step = self.boards[b].steps[s]
        doubt, longer = self.stages[step.stage].doubt, 1.0
        if doubt:
            longer = factor(self.seed, self.r, step.stage, 0, 0, DOUBT, 0, doubt)
        return longer * minutes_drawn(
            self.seed, self.r, self.boards[b].key, s, attempt, step.spread, step.minutes, step.cv,
            begun / longer,
        )

    def call(self):
        """Once an instant, when all else has happened, free hands look for work."""
        if not self.called:
            self.called = True
            event = simpy.Event(self.env)
            event.callbacks.append(self.look)
            event._ok, event._value = True, None
            self.env.schedule(event, priority=LAST)

    def look(self, event):
        self.called = False
        if self.let_on and self.ordered and (not self.limit or self.on_floor < self.limit):
            self.release()
            self.call()  # once more, when they have come to their first bay
            return
        self.let_on = not self.releases
        took = True
        while took:
            took = sum(self.take(h, hand) for h, hand in enumerate(self.crew))

    def take(self, h, hand):
        """True when these hands took something."""
        now = self.env.now
        at_work = any(opens <= now < closes for opens, closes in self.shifts[h])
        if not self.idle[h] or not at_work:
            return False
        offers = []
        for stage, queue in enumerate(self.waiting):
            hours = self.stages[stage].hours
            is_open = not hours or any(opens <= now < closes for opens, closes in hours)
            if is_open and stage in hand.pace and self.has_place(stage):
                fitting = self.fitting(h, stage, queue, 0.0)
                offers += [
                    (self.due[first[0]] + hand.later.get(stage, 0.0), first, stage)
                    for first in fitting[:1]
                ]
        if not offers:
            return False
        _, first, stage = min(offers, key=lambda offer: (offer[0], offer[1][0]))
        queue, minutes, overs = self.waiting[stage], 0.0, []
        fitting = [first]
        while fitting and len(overs) < self.stages[stage].session and self.has_place(stage):
            queue.remove(fitting[0])
            self.places[stage] += 1
            minutes += hand.pace[stage] * fitting[0][1]
            overs.append(fitting[0][2])
            fitting = self.fitting(h, stage, queue, minutes)
            if fitting and fitting[0] != min(queue, key=lambda waiting: waiting[0]):
                break  # with it goes the next one of all, or none
        self.env.process(self.session(h, stage, overs, minutes))
        self.idle[h] = False
        return True

    def fitting(self, h, stage, queue, minutes):
        """Boards these hands may take, the most pressing first: work that is not left half-way ends
        within the shift, where any shift in the stage's hours is long enough for it."""
        queue = sorted(queue, key=lambda waiting: waiting[0])
        rules, pace, now = self.stages[stage], self.crew[h].pace[stage], self.env.now
        if not rules.whole or not queue:
            return queue
        spans = [*self.shifts[h], *rules.hours]
        closes = min(end for start, end in spans if start <= now < end) + rules.over
        longest = rules.over + max(
            (end - start for start, end in both(self.crew[h].shifts, rules.hours)), default=0.0
        )
        together = rules.together if minutes else 1.0
        return [
            waiting for waiting in queue
            if now + together * (minutes + pace * waiting[1]) <= closes
            or (minutes == 0.0 and pace * waiting[1] > longest)
        ]

    def has_place(self, stage):
        rules = self.stages[stage]
        bays = rules.bay.places if rules.bay else 0
        return has_room(self.places, stage, self.mates[stage], rules.places, bays)

    def session(self, h, stage, overs, minutes):
        """Works shift by shift until the minutes are done."""
        self.idle[h] = False
        rules = self.stages[stage]
        minutes *= rules.together if len(overs) > 1 else 1.0
        over = rules.over if rules.whole else 0.0
        for opens, closes in self.spans(h, stage):
            if closes <= self.env.now:
                continue
            if opens > self.env.now:
                yield self.env.timeout(opens - self.env.now)
            if minutes <= closes - self.env.now + over:
                yield self.env.timeout(minutes)
                break
            minutes -= closes - self.env.now
            yield self.env.timeout(closes - self.env.now)
        else:
            return  # no shift is left
        self.idle[h] = True
        for over in overs:
            over.succeed()
        self.call()

    @cache  # noqa: B019, a floor lives as long as its replication
    def spans(self, h, stage):
        """When both the person and the bay are there."""
        return both(self.shifts[h], self.stages[stage].hours)


def has_room(taken, stage, mates, own, bays):
    """Under the stage's own limit and that of its bay; 0 is none."""
    whole = sum(taken[mate] for mate in mates)
    return (not own or taken[stage] < own) and (not bays or whole < bays)


@cache
def both(shifts, hours):
    """The spans that lie in both; no hours are all hours."""
    if not hours:
        return shifts
    return tuple(
        (max(opens, starts), min(closes, ends))
        for opens, closes in shifts
        for starts, ends in hours
        if max(opens, starts) < min(closes, ends)
    )
