"""The gains of the stages as they were played last."""

from django.db import models


class GainsKept(models.Model):
    """One row, played beside the server (manage.py keep_forecast): what every page that names the
    stage that holds the factory back reads. `mark` is of the hours and rules it was played with,
    `told` is gains.Gains in plain values."""

    at = models.DateTimeField()
    mark = models.CharField(max_length=64)
    told = models.JSONField(default=dict)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="gains_kept_are_one_row")
        ]

    def __str__(self):
        return f"gains of {self.at:%Y-%m-%d %H:%M}"
