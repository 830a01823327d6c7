"""What a factory decides once about the dates it gives."""

from django.conf import settings
from django.core.cache import cache
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

SETTINGS = "forecast-settings"  # the cache's key of the one row


class ForecastSettings(models.Model):
    """One row; until a manager saves it what is usual stands. Remembered for a minute."""

    line_percent = models.PositiveSmallIntegerField(
        "a promise is in danger under, %",
        default=80,
        validators=[MinValueValidator(5), MaxValueValidator(99)],
        help_text="chance to be kept; common practice, no source",
    )
    confidence_percent = models.PositiveSmallIntegerField(
        "promises are given at, %",
        default=85,
        validators=[MinValueValidator(50), MaxValueValidator(99)],
        help_text="the day by which a new board is done with this certainty; common practice, "
        "no source",
    )
    floor_limit = models.PositiveSmallIntegerField(
        "boards on the floor at once",
        default=0,
        validators=[MaxValueValidator(5000)],
        help_text="from release to QC pass; orders beyond it wait until one is done. 0: no limit",
    )
    changed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, editable=False, related_name="+"
    )
    changed_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="forecast_settings_are_one_row"),
            models.CheckConstraint(
                condition=models.Q(line_percent__range=(5, 99)), name="line_is_a_chance"
            ),
            models.CheckConstraint(
                condition=models.Q(confidence_percent__range=(50, 99)),
                name="confidence_is_a_chance",
            ),
        ]

    def __str__(self):
        return "how dates are given"

    def save(self, *args, **kwargs):
        super().save(*args, **kwargs)
        cache.delete(SETTINGS)


class ForecastKept(models.Model):
    """The last forecast of each day, worked out beside the server (stages.morning.keeper): what
    the pages read, and what the next day is compared with. `danger` are the boards late or in
    danger, with why and what would help."""

    day = models.DateField(unique=True)
    at = models.DateTimeField()
    mark = models.CharField(max_length=64, help_text="of all it was worked out from")
    replications = models.PositiveIntegerField()
    boards = models.JSONField(default=list)
    danger = models.JSONField(default=list)

    class Meta:
        ordering = ["-day"]

    def __str__(self):
        return f"forecast of {self.at:%Y-%m-%d %H:%M}"
