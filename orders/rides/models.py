"""What riders say of the boards they ride, for whoever shapes the next one."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

LEAST, MOST = 1, 5
WORDS_AT_MOST = 1000
SCALES = ("drive", "hold", "release", "pivot", "paddle")


def _scale(help_text: str) -> models.PositiveSmallIntegerField:
    return models.PositiveSmallIntegerField(
        null=True,
        blank=True,
        help_text=help_text,
        validators=[MinValueValidator(LEAST), MaxValueValidator(MOST)],
    )


class RideNote(models.Model):
    """One rider's words on one board, on one day. Each scale runs from 1, too little, to 5, plenty.

    `noted_by` is none when the rider wrote it on their own page.
    """

    board = models.ForeignKey("orders.Board", models.PROTECT, related_name="ride_notes")
    said_on = models.DateField("said on")
    drive = _scale("speed it keeps down the line")
    hold = _scale("grip when it is steep")
    release = _scale("comes loose when asked")
    pivot = _scale("turns on the spot")
    paddle = _scale("paddles and catches waves")
    words = models.TextField(blank=True, max_length=WORDS_AT_MOST)
    noted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    noted_at = models.DateTimeField()

    class Meta:
        ordering = ["-said_on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["board", "said_on"],
                condition=Q(noted_by=None),
                name="ride_note_of_rider_once_a_day",
            ),
            *(
                models.CheckConstraint(
                    condition=Q(**{name: None}) | Q(**{f"{name}__range": (LEAST, MOST)}),
                    name=f"ride_note_{name}_in_scale",
                )
                for name in SCALES
            ),
        ]

    def __str__(self):
        return f"what was said of board {self.board_id} on {self.said_on}"

    def scales(self) -> list[tuple[str, int]]:
        """The scales that were given: (name, 1 to 5)."""
        return [(name, value) for name in SCALES if (value := getattr(self, name)) is not None]
