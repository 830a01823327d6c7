"""A scenario is made real: what can be decided is written where it is always decided."""

from collections.abc import Iterable
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from orders.accounts.models import User
from stages.crew.actions import save_person
from stages.crew.models import CrewMember, DaysOff
from stages.crew.queries import hours_changed
from stages.forecast.actions import keep_settings
from stages.forecast.models import ForecastSettings
from stages.log.facts import forget_stage
from stages.routes.actions import set_bay_hours
from stages.routes.models import Bay, Stage
from stages.whatif.scenario import BayWeek, Cap, DaysAway, OfStage, Skill, Week, Write


@transaction.atomic
def apply_writes(*, writes: Iterable[Write], by: User, at: datetime) -> None:
    """All of it or nothing. Boards on the floor keep the minutes and rests they left with.

    ValidationError where one of them cannot stand any more; DoesNotExist where its person or stage
    is gone.
    """
    weeks, skills = {}, {}
    for write in writes:
        match write:
            case DaysAway():
                days = DaysOff(
                    member=CrewMember.objects.get(pk=write.member), first=write.first,
                    last=write.last,
                )  # fmt: skip
                days.full_clean()
                days.save()
            case Week():
                weeks[write.member] = write.week
            case BayWeek():
                bay = Bay.objects.get(pk=write.bay)
                set_bay_hours(bay=bay, week=write.week, by=by, at=at)
            case Skill():
                skills.setdefault(write.member, []).append(write)
            case OfStage():
                _set_stage(write)
            case Cap():
                settings = ForecastSettings.objects.filter(pk=1).first() or ForecastSettings(pk=1)
                settings.floor_limit = write.boards
                keep_settings(settings=settings, by=by, at=at)
    for member in CrewMember.objects.filter(pk__in={*weeks, *skills}).select_related("user"):
        save_person(
            user=member.user, password="", pin="",
            skills=_skills(member, skills.get(member.pk, [])),
            week=weeks.get(member.pk, member.week),
            away_from=member.away_from, away_until=member.away_until,
        )  # fmt: skip
    hours_changed()


def _set_stage(write: OfStage) -> None:
    stage = Stage.objects.get(pk=write.stage)
    setattr(stage, write.field, write.value)
    stage.full_clean()
    stage.save()
    transaction.on_commit(lambda: forget_stage(stage.pk))


def _skills(member: CrewMember, changes: list[Skill]) -> set[int]:
    """Their list of stages as it becomes. Without a list they may do all, so taking one away writes
    down the others."""
    able = {stage.pk for stage in member.skills.all()}
    if not able and changes:
        able = set(Stage.objects.filter(retired_at=None).values_list("pk", flat=True))
    for change in changes:
        able = able | {change.stage} if change.can else able - {change.stage}
    if changes and not able:
        raise ValidationError(
            f"{member} would have no stage left, and who has no list may do all. "
            "Take them out of the crew under Set-up, Crew, instead."
        )
    return able
