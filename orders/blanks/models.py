"""The foam on hand: each kind of blank, what is set aside for which board, and every movement."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from orders.factory.models import Factory, LengthUnit
from orders.orderbook.models import Board
from orders.shape.units import NM_PER_INCH, format_dims
from orders.specs.choices import Foam, Stringer
from orders.specs.models import LengthField, SpecRevision

STATION_KEYS = ("x_nm", "width_nm", "thickness_nm", "rocker_nm")
FEWEST_STATIONS = 3


class BlankQuerySet(models.QuerySet):
    def kept(self):
        return self.filter(retired_at=None)


class Blank(models.Model):
    """One kind of blank. `on_hand` lie in the rack, `reserved` of them are set aside for boards."""

    name = models.CharField(max_length=40, unique=True)
    foam = models.CharField(max_length=3, choices=Foam, default=Foam.POLYURETHANE)
    density = models.DecimalField(
        "density, kg/m³", max_digits=5, decimal_places=1, null=True, blank=True,
        validators=[MinValueValidator(1)],
    )
    stringer = models.CharField(max_length=14, choices=Stringer, default=Stringer.EIGHTH)
    length_nm = LengthField("length")
    # Tail to nose, one object a station with STATION_KEYS: the distance from the tail end, and
    # there the width, the thickness and how high the bottom lies over a straight edge.
    stations = models.JSONField(default=list)
    on_hand = models.PositiveIntegerField(default=0)
    reserved = models.PositiveIntegerField(default=0)
    retired_at = models.DateTimeField(null=True, blank=True)

    objects = BlankQuerySet.as_manager()

    class Meta:
        ordering = ["length_nm", "name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(reserved__gte=0) & Q(reserved__lte=F("on_hand")),
                name="blank_reserved_is_there",
            ),
        ]

    def __str__(self):
        return self.name

    @property
    def free(self) -> int:
        return self.on_hand - self.reserved

    @property
    def measures(self) -> str:
        """The three numbers as the trade writes them: the longest, widest, thickest of it."""
        most = {key: max((one[key] for one in self.stations), default=0)
                for key in ("width_nm", "thickness_nm")}
        unit = "mm" if Factory.current().length_unit == LengthUnit.MILLIMETRES else "ftin"
        return format_dims(self.length_nm, *most.values(), unit)

    def clean(self):
        super().clean()
        if problems := station_problems(self.stations):
            raise ValidationError(problems)


def station_problems(stations: list[dict]) -> list[str]:
    """Sentences for what keeps a list of stations from being a blank."""
    if len(stations) < FEWEST_STATIONS:
        return [f"Give at least {FEWEST_STATIONS} stations: tail, middle and nose."]
    found = []
    places = [one["x_nm"] for one in stations]
    if places[0] != 0:
        found.append("The first station is the tail end, at 0.")
    if any(b <= a for a, b in zip(places, places[1:], strict=False)):
        found.append("Each station must lie farther from the tail than the one before.")
    if any(one["thickness_nm"] <= 0 or one["width_nm"] <= 0 for one in stations):
        found.append("Width and thickness are more than nothing at every station.")
    if any(one[name] > most for one in stations for name, most in _MOST.items()):
        found.append("No blank is so large: see which unit each station was typed in.")
    return found


# Nothing longer, wider, thicker or more bent comes out of a mould. Common practice, no source.
_MOST = {
    name: inches * NM_PER_INCH
    for name, inches in (
        ("x_nm", 240), ("width_nm", 72), ("thickness_nm", 16), ("rocker_nm", 36)
    )
}


class BlankReservation(models.Model):
    """One blank set aside for one board, until it is used at release, put back or let go.

    `why` is given when the board does not lie within the blank's stations and someone who knows
    the foam takes it all the same.
    """

    blank = models.ForeignKey(Blank, models.PROTECT, related_name="reservations")
    board = models.ForeignKey(Board, models.PROTECT, related_name="blank_reservations")
    spec = models.ForeignKey(SpecRevision, models.PROTECT, related_name="+")
    why = models.CharField(max_length=200, blank=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["made_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["board"], condition=Q(ended_at=None), name="one_blank_a_board"
            ),
        ]

    def __str__(self):
        return f"{self.blank} for board {self.board_id}"


class BlankMovement(models.Model):
    """One change of a blank's stock: who, when, how many. Written once, mended by another."""

    class Kind(models.TextChoices):
        RECEIVED = "received", "Received"
        RESERVED = "reserved", "Set aside"
        LET_GO = "let_go", "Let go"
        USED = "used", "Used"
        PUT_BACK = "put_back", "Put back"
        COUNTED = "counted", "Counted"

    blank = models.ForeignKey(Blank, models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=8, choices=Kind)
    # What it did to the two figures, and where they stood after it.
    on_hand_change = models.IntegerField(default=0)
    reserved_change = models.IntegerField(default=0)
    on_hand = models.PositiveIntegerField()
    reserved = models.PositiveIntegerField()
    board = models.ForeignKey(Board, models.PROTECT, null=True, blank=True, related_name="+")
    note = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]

    def __str__(self):
        return f"{self.blank_id} {self.kind}"
