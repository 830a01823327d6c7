"""The log of everything that happens to a board, and what is derived from it.

`Entry` is the truth: append-only, one writer (stages.log.record). `Position` and `Visit` are the
projection, written in the same transaction and rebuilt by `manage.py verify_log`.
"""

from django.conf import settings
from django.db import models

from orders.orderbook.models import Board
from stages.log.fold import Kind, State
from stages.routes.models import Stage

KINDS = [(kind.value, kind.value.replace("_", " ")) for kind in Kind]
STATES = [(state.value, state.value.replace("_", " ")) for state in State]


class Entry(models.Model):
    """One thing that happened to one board."""

    ref = models.UUIDField(unique=True, help_text="made on the device, so once means once")
    board = models.ForeignKey(Board, models.PROTECT, related_name="entries")
    seq = models.PositiveIntegerField(help_text="1, 2, 3 for each board")
    kind = models.CharField(max_length=12, choices=KINDS)
    step = models.PositiveSmallIntegerField(null=True, blank=True)
    stage = models.ForeignKey(Stage, models.PROTECT, null=True, blank=True, related_name="+")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    happened_at = models.DateTimeField(help_text="by the device")
    recorded_at = models.DateTimeField(help_text="by the server")
    device = models.CharField(max_length=60, blank=True)
    ticket_revision = models.PositiveIntegerField(null=True, blank=True)
    late = models.BooleanField("keyed in later", default=False)
    payload = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["board", "seq"]
        constraints = [
            models.UniqueConstraint(fields=["board", "seq"], name="entry_seq_once"),
            models.CheckConstraint(condition=models.Q(seq__gte=1), name="entry_seq_from_one"),
            models.CheckConstraint(
                condition=models.Q(kind__in=[kind.value for kind in Kind]), name="entry_kind_known"
            ),
        ]
        indexes = [
            models.Index(fields=["recorded_at"]),
            # A bad drum is found among the mixes alone, however long the log is.
            models.Index(
                fields=["recorded_at"], name="entry_mixed", condition=models.Q(kind="mixed")
            ),
            # So are the few promises that were moved.
            models.Index(
                fields=["board"], name="entry_promised", condition=models.Q(kind="promised")
            ),
        ]

    def __str__(self):
        return f"board {self.board_id} entry {self.seq}: {self.kind}"


class Position(models.Model):
    """Where one released board is now. A projection of its entries."""

    board = models.OneToOneField(Board, models.PROTECT, primary_key=True, related_name="position")
    seq = models.PositiveIntegerField()
    state = models.CharField(max_length=12, choices=STATES)
    stage = models.ForeignKey(Stage, models.PROTECT, null=True, blank=True, related_name="+")
    holder = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    since = models.DateTimeField(help_text="when the board came into this state")
    rests_until = models.DateTimeField(null=True, blank=True)
    revision = models.PositiveIntegerField()
    released_at = models.DateTimeField()
    passed_at = models.DateTimeField(null=True, blank=True, help_text="last QC pass")
    on_floor = models.BooleanField(default=True)
    # The whole folded position, as stages.log.fold writes it.
    folded = models.JSONField()

    class Meta:
        indexes = [
            models.Index(
                fields=["stage"], name="position_on_floor", condition=models.Q(on_floor=True)
            ),
            models.Index(fields=["passed_at"]),
            models.Index(fields=["released_at"]),
            models.Index(fields=["holder"], condition=models.Q(on_floor=True), name="in_hands"),
        ]

    def __str__(self):
        return f"board {self.board_id}: {self.state}"


class VisitQuerySet(models.QuerySet):
    def paid(self):
        """Each step once; done again only where the manager said so."""
        return self.filter(models.Q(attempt=1) | models.Q(paid_again=True))


class Visit(models.Model):
    """A finished step: one stay of one board at one stage. A projection of its entries."""

    board = models.ForeignKey(Board, models.PROTECT, related_name="visits")
    step = models.PositiveSmallIntegerField()
    stage = models.ForeignKey(Stage, models.PROTECT, related_name="visits")
    attempt = models.PositiveSmallIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+")
    arrived_at = models.DateTimeField()
    taken_at = models.DateTimeField(null=True)
    finished_at = models.DateTimeField()
    rest_until = models.DateTimeField()
    touch_s = models.PositiveIntegerField(help_text="seconds in hands")
    held_s = models.PositiveIntegerField(help_text="seconds held")
    outcome = models.CharField(max_length=10)
    helped = models.JSONField("seconds of helping hands, by person", default=dict, blank=True)
    paid_again = models.BooleanField(
        null=True, blank=True, help_text="the manager's word on a repeated step"
    )

    objects = VisitQuerySet.as_manager()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["board", "step"], name="visit_once")]
        indexes = [
            models.Index(fields=["finished_at"]),
            models.Index(fields=["rest_until"]),
        ]

    def __str__(self):
        return f"board {self.board_id} step {self.step}: {self.outcome}"
