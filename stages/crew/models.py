"""The people who do steps: what they can do and when they work."""

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
    away_from = models.DateField(null=True, blank=True)
    away_until = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["user__name"]

    def __str__(self):
        return str(self.user)
