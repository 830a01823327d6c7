"""Bays, stages and house routes: how a board may travel through the factory."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models


class Bay(models.Model):
    """A place where stages are done, in-house or outside."""

    name = models.CharField(max_length=40, unique=True)
    order = models.PositiveSmallIntegerField(default=0, help_text="its place on the floor screen")
    outside = models.BooleanField("another business does this", default=False)
    address = models.TextField(
        "address and phone", max_length=300, blank=True, help_text="printed on its manifests"
    )
    places = models.PositiveSmallIntegerField(
        "boards in hand at once",
        default=0,
        validators=[MaxValueValidator(500)],
        help_text="in all stages of this bay together, beside what each stage has room for. "
        "0: no limit",
    )
    racks = models.PositiveSmallIntegerField(
        "boards resting at once",
        default=0,
        validators=[MaxValueValidator(500)],
        help_text="on the racks of this bay, whatever was done to them. 0: no limit",
    )
    # As a person's: [[[480, 1020]], ...]. Empty: open whenever somebody works there.
    week = models.JSONField(default=list, blank=True, editable=False)
    week_set_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, editable=False, related_name="+"
    )
    week_set_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        ordering = ["order", "name"]

    def __str__(self):
        return self.name


class Stage(models.Model):
    """A kind of work."""

    name = models.CharField(max_length=40, unique=True)
    bay = models.ForeignKey(Bay, models.PROTECT, related_name="stages")
    order = models.PositiveSmallIntegerField(default=0)
    minutes = models.PositiveSmallIntegerField(
        "standard minutes",
        validators=[MinValueValidator(1), MaxValueValidator(2880)],
        help_text="hands-on minutes for an ordinary board",
    )
    rest_hours = models.DecimalField(
        "rest hours",
        max_digits=5,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(720)],
        help_text="how long the board cures before the next step may start",
    )
    rest_celsius = models.PositiveSmallIntegerField(
        "rest hours hold at",
        default=20,
        validators=[MinValueValidator(10), MaxValueValidator(40)],
        help_text="C; a colder bay rests longer",
    )
    rest_shortens = models.BooleanField("a warmer bay may rest shorter", default=False)
    inspects = models.BooleanField("passes or sends back", default=False)
    one_at_a_time = models.BooleanField("one board at a time in a person's hands", default=False)
    places = models.PositiveSmallIntegerField(
        "boards in hand at once",
        default=0,
        validators=[MaxValueValidator(500)],
        help_text="stands, tables, rooms: how many can be worked on side by side. 0: no limit",
    )
    racks = models.PositiveSmallIntegerField(
        "boards resting at once",
        default=0,
        validators=[MaxValueValidator(500)],
        help_text="rack places for what cures after it; a board without one blocks its stand. "
        "0: no limit",
    )
    session = models.PositiveSmallIntegerField(
        "boards done in one go",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(12)],
        help_text="how many one person does together; left empty, it is read from the log",
    )
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["order", "name"]

    def __str__(self):
        return self.name


class When(models.TextChoices):
    """Which boards a step of a route is for, read from the spec."""

    ALWAYS = "always", "every board"
    SLOTS = "slots", "boards with single-slot boxes (set before glassing)"
    AFTER_FILLER = (
        "after_filler",
        "boards with a long centre box or two-plug boxes (set after the filler coat)",
    )
    PLUG = "plug", "boards with a leash plug"
    GLOSS = "gloss", "boards with gloss and polish"


class Route(models.Model):
    """The ordered steps a board may take. The house route is the one proposed first."""

    name = models.CharField(max_length=60, unique=True)
    is_house = models.BooleanField("house route", default=False)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-is_house", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["is_house"], condition=models.Q(is_house=True), name="one_house_route"
            )
        ]

    def __str__(self):
        return self.name


class RouteStep(models.Model):
    """One step of a route, for the boards that need it."""

    route = models.ForeignKey(Route, models.CASCADE, related_name="steps")
    order = models.PositiveSmallIntegerField()
    stage = models.ForeignKey(Stage, models.PROTECT, related_name="+")
    when = models.CharField(max_length=12, choices=When, default=When.ALWAYS)

    class Meta:
        ordering = ["route", "order"]
        constraints = [
            models.UniqueConstraint(fields=["route", "order"], name="route_step_order_once")
        ]

    def __str__(self):
        return f"{self.route}, step {self.order}: {self.stage}"
