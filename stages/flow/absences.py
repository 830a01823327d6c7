"""How often and for how long people are away on days they were due, read from the log. Pure."""

from collections.abc import Collection, Hashable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

USUAL_SHARE = 0.03  # of a person's days, where nothing is known; common practice, no source
USUAL_DAYS = 1.5  # of one absence; common practice, no source
PRIOR_DAYS = 40  # that count for the usual share; our choice
PRIOR_SPELLS = 4  # that count for the usual length; our choice


@dataclass(frozen=True)
class Absence:
    """The share of a person's days on which they are away, how many of their days one absence
    lasts on average, and whether they were away on the last one."""

    share: float = USUAL_SHARE
    days: float = USUAL_DAYS
    now: bool = False


def absences(
    due: Mapping[Hashable, Sequence[date]], there: Mapping[Hashable, Collection[date]]
) -> dict[Hashable, Absence]:
    """By person. What is usual is learned from all of them first: one person's days are few."""
    days = sum(map(len, due.values()))
    away = sum(day not in there[by] for by, own in due.items() for day in own)
    usual = (away + PRIOR_DAYS * USUAL_SHARE) / (days + PRIOR_DAYS)
    return {by: absence_of(own, there[by], usual=usual) for by, own in due.items()}


def absence_of(
    due: Sequence[date], there: Collection[date], *, usual: float = USUAL_SHARE
) -> Absence:
    """`due` are the days somebody was to work, in order; `there` those on which they logged
    anything. Both are drawn towards what is usual (as in stages.flow.durations.chance_of)."""
    away = [day not in there for day in due]
    begun = sum(
        now and not before for before, now in zip([False, *away], away, strict=False)
    )
    return Absence(
        share=(sum(away) + PRIOR_DAYS * usual) / (len(away) + PRIOR_DAYS),
        days=(sum(away) + PRIOR_SPELLS * USUAL_DAYS) / (begun + PRIOR_SPELLS),
        now=bool(away) and away[-1],
    )
