"""Which settings a person has said are this factory's own: they start from defaults."""

from django.conf import settings
from django.db import models


class Setting(models.TextChoices):
    FACTORY = "factory", "clock, money and units"
    STAGES = "stages", "stages"


class Confirmation(models.Model):
    """That somebody looked at settings and said they are right. Once for each."""

    setting = models.CharField(max_length=10, choices=Setting, unique=True)
    # Nobody: the factory was at work before it was asked.
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, editable=False, related_name="+"
    )
    at = models.DateTimeField()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(setting__in=Setting.values), name="confirmed_setting_known"
            )
        ]

    def __str__(self):
        return self.get_setting_display()
