"""House models that specs start from, and their versions."""

from django.db import models

from orders.specs.models import BoardNumbers


class BoardClass(models.TextChoices):
    SHORTBOARD = "shortboard", "Shortboard"
    FISH = "fish", "Fish"
    MID_LENGTH = "mid_length", "Mid-length"
    LONGBOARD = "longboard", "Longboard"
    GUN = "gun", "Gun"


class Design(models.Model):
    name = models.CharField(max_length=60, unique=True)
    board_class = models.CharField(max_length=10, choices=BoardClass)
    note = models.CharField(max_length=200, blank=True)
    base_price_cents = models.PositiveBigIntegerField("base price", default=0)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name


class DesignVersion(BoardNumbers):
    design = models.ForeignKey(Design, models.PROTECT, related_name="versions")
    number = models.PositiveIntegerField()
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["design", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["design", "number"], name="design_version_once"),
            models.CheckConstraint(
                condition=~models.Q(foam="eps", resin="polyester"),
                name="design_no_polyester_on_polystyrene",
            ),
        ]

    def __str__(self):
        return f"{self.design} v{self.number}"
