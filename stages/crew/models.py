"""The people who do steps: what they can do, when they work, and when nobody does."""

from django.conf import settings
from django.db import models

from stages.routes.models import Stage


class CrewMember(models.Model):
    """Skills and weekly hours of one person, in local minutes from midnight, Monday first."""

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="crew_member", primary_key=True
    )
    skills = models.ManyToManyField(Stage, related_name="crew", blank=True)
    # [[[480, 720], [750, 990]], ...]: for each weekday the spans worked.
    week = models.JSONField(default=list, blank=True)
    # The absence of the moment; without a last day until somebody says so. Others: DaysOff.
    away_from = models.DateField(null=True, blank=True)
    away_until = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["user__name"]

    def __str__(self):
        return str(self.user)


class DayRange(models.Model):
    """Whole days from the first to the last, both in."""

    first = models.DateField()
    last = models.DateField()

    class Meta:
        abstract = True
        ordering = ["first", "last"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(last__gte=models.F("first")), name="%(class)s_ends_after_start"
            )
        ]

    def __str__(self):
        return f"{self.first} to {self.last}"


class ClosedDays(DayRange):
    """Days on which the factory is shut."""

    why = models.CharField(max_length=80)


class PublicHolidays(models.Model):
    """Whose public holidays the factory keeps; one row. No country: none."""

    country = models.CharField(max_length=2, blank=True)
    region = models.CharField(max_length=40, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="public_holidays_is_one_row")
        ]

    def __str__(self):
        return f"{self.country} {self.region}".strip()


class DaysOff(DayRange):
    """Days a person is away."""

    member = models.ForeignKey(CrewMember, models.CASCADE, related_name="days_off")


class ChangedHours(models.Model):
    """What a person works on one day instead of their usual hours, also where the day is closed
    or off."""

    member = models.ForeignKey(CrewMember, models.CASCADE, related_name="changed_hours")
    day = models.DateField()
    spans = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ["day"]
        constraints = [
            models.UniqueConstraint(fields=["member", "day"], name="changed_hours_once_a_day")
        ]

    def __str__(self):
        return f"{self.member}, {self.day}"
