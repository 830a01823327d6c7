"""When the hands of the floor that is played forward are there, and when their work is over."""

import math

from stages.flow.compiled import compiled
from stages.flow.luck import ABSENT, NIL, chance
from stages.flow.records import NEVER

_DAY = 1440.0


@compiled
def measure(hands, able, stages, shifts):
    """The longest that each of the hands and each stage are both there on end."""
    for h in range(len(hands)):
        for g in range(len(stages)):
            longest, stage, own = 0.0, stages[g], stages[g].first
            for i in range(hands[h].first, hands[h].last):
                opens, closes = shifts[i].opens, shifts[i].closes
                if stage.first == stage.last:
                    longest = max(longest, closes - opens)
                while own < stage.last and shifts[own].opens < closes:
                    both = min(closes, shifts[own].closes) - max(opens, shifts[own].opens)
                    longest = max(longest, both)
                    if shifts[own].closes > closes:
                        break
                    own += 1
            able[h, g].longest = longest


@compiled
def comes(hand, shifts, h, shift, r, seed):
    """Whether they come to this shift; a shift under way is come to. Days of absence make a chain
    (Markov): a share `absent` of days, in spells of so many on average."""
    while hand.decided <= shift:
        i = hand.decided
        hand.decided += 1
        if shifts[i].opens <= 0.0 or hand.absent == 0.0:
            shifts[i].there = 1
            continue
        day, was_away = _day(hand, shifts[i]), hand.away
        if i > hand.first:
            if day == _day(hand, shifts[i - 1]):
                shifts[i].there = shifts[i - 1].there
                continue
            was_away = 1 - shifts[i - 1].there
        share = hand.absent
        stays = max(share, 1.0 - 1.0 / hand.spell)
        away = stays if was_away else share * (1.0 - stays) / (1.0 - share)
        shifts[i].there = chance(seed, r, h, day, NIL, ABSENT, NIL) >= away
    return shifts[shift].there == 1


@compiled
def _day(hand, shift):
    """The day of a shift, by a number that is never negative, as a draw wants it."""
    return int(math.floor((shift.opens - hand.midnight) / _DAY)) + 100_000


@compiled
def work(hand, stage, shifts, h, clock, minutes, r, seed):
    """Begun now: over after so many minutes of this person's own hours, and of the stage's where
    it has any; of work that is not left half-way the last may be past the shift."""
    if hand.doing > 1:
        minutes *= stage.together
    over = stage.over if stage.whole else 0.0
    hand.worked += minutes
    hand.finishes = NEVER
    always = stage.first == stage.last
    for i in range(max(hand.shift, hand.first), hand.last):
        closes = shifts[i].closes
        if closes > clock and comes(hand, shifts, h, i, r, seed):
            opens = max(clock, shifts[i].opens)
            if always:
                hand.finishes, minutes = _until(opens, closes, over, minutes)
            else:
                for own in range(stage.shift, stage.last):
                    if minutes < 0.0 or shifts[own].opens >= closes:
                        break
                    hand.finishes, minutes = _until(
                        max(opens, shifts[own].opens), min(closes, shifts[own].closes), over,
                        minutes,
                    )  # fmt: skip
            if minutes < 0.0:
                return
    hand.finishes = NEVER


@compiled
def _until(opens, closes, over, minutes):
    """When so many minutes are over, and -1; or never, and what is left of them."""
    if closes > opens:
        if minutes <= closes - opens + over:
            return opens + minutes, -1.0
        return NEVER, minutes - (closes - opens)
    return NEVER, minutes
