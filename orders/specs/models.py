"""A board's numbers and choices, kept as numbered revisions that never change."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models

from orders.shape.fin_boxes import cannot_hold
from orders.shape.fins import MarksError, marks_from
from orders.specs import choices

DISSOLVES = "Polyester resin dissolves polystyrene foam. Choose epoxy, or a polyurethane blank."


class LengthField(models.BigIntegerField):
    """A length in whole nanometres: every 1/32 in (793,750 nm) and every 0.1 mm is exact."""


class BoardNumbers(models.Model):
    """The numbers and choices shared by a design's version and a board's spec.

    Nose and tail width are measured a foot (12 in) from the ends; the wide point forward of the
    middle, behind it less than nothing. What each number means: orders.shape.numbers.
    """

    length_nm = LengthField("length")
    width_nm = LengthField("width")
    thickness_nm = LengthField("thickness")
    nose_nm = LengthField("nose width", null=True, blank=True)
    tail_nm = LengthField("tail width", null=True, blank=True)
    tail_shape = models.CharField(
        max_length=12, choices=choices.TailShape, default=choices.TailShape.SQUASH
    )
    wide_point_nm = LengthField("wide point", null=True, blank=True)
    tail_end_nm = LengthField("tail end", null=True, blank=True)
    tail_depth_nm = LengthField("tail depth", null=True, blank=True)
    nose_rocker_nm = LengthField("nose rocker", null=True, blank=True)
    nose_rocker_foot_nm = LengthField("nose rocker a foot in", null=True, blank=True)
    tail_rocker_nm = LengthField("tail rocker", null=True, blank=True)
    tail_rocker_foot_nm = LengthField("tail rocker a foot in", null=True, blank=True)
    nose_thickness_nm = LengthField("nose thickness", null=True, blank=True)
    tail_thickness_nm = LengthField("tail thickness", null=True, blank=True)
    nose_tip_nm = LengthField("nose tip thickness", null=True, blank=True)
    tail_tip_nm = LengthField("tail tip thickness", null=True, blank=True)
    # An asymmetric board: what is other on its left, seen from the deck with the nose up.
    left_tail_shape = models.CharField(
        "left tail shape", max_length=12, choices=choices.TailShape, blank=True
    )
    left_tail_nm = LengthField("left tail width", null=True, blank=True)
    left_tail_end_nm = LengthField("left tail end", null=True, blank=True)
    left_tail_depth_nm = LengthField("left tail depth", null=True, blank=True)
    left_wide_point_nm = LengthField("left wide point", null=True, blank=True)
    left_shorter_nm = LengthField("left shorter by", null=True, blank=True)
    rail = models.CharField(max_length=12, choices=choices.Rail, default=choices.Rail.MEDIUM)
    deck = models.CharField(max_length=12, choices=choices.Deck, default=choices.Deck.DOMED)
    bottom = models.CharField(
        max_length=18, choices=choices.Bottom, default=choices.Bottom.SINGLE_CONCAVE
    )
    foam = models.CharField(max_length=3, choices=choices.Foam, default=choices.Foam.POLYURETHANE)
    stringer = models.CharField(
        max_length=14, choices=choices.Stringer, default=choices.Stringer.EIGHTH
    )
    resin = models.CharField(max_length=9, choices=choices.Resin, default=choices.Resin.POLYESTER)
    deck_cloth = models.CharField(max_length=40, default="4 + 4 oz")
    bottom_cloth = models.CharField(max_length=40, default="4 oz")
    fin_setup = models.CharField(
        "fins", max_length=12, choices=choices.FinSetup, default=choices.FinSetup.THREE_FIN
    )
    box_kind = models.CharField(
        "fin boxes", max_length=16, choices=choices.BoxKind, default=choices.BoxKind.SINGLE_SLOT
    )
    # Where fins and plug stand when not where they usually do: see orders.shape.fins.
    fin_marks = models.JSONField("fin marks", default=dict, blank=True, editable=False)
    leash_plug = models.CharField(
        max_length=4, choices=choices.LeashPlug, default=choices.LeashPlug.ONE
    )
    finish = models.CharField(max_length=8, choices=choices.Finish, default=choices.Finish.SANDED)
    stated_ml = models.PositiveIntegerField("stated volume", null=True, blank=True)
    # How each number was typed, by field, so that it reads back as it was said.
    written = models.JSONField(default=dict, blank=True, editable=False)

    class Meta:
        abstract = True

    def clean(self):
        super().clean()
        wrong = {}
        if self.foam == choices.Foam.POLYSTYRENE and self.resin == choices.Resin.POLYESTER:
            wrong["resin"] = DISSOLVES
        if why := cannot_hold(self.fin_setup, self.box_kind):
            wrong["box_kind"] = why
        if wrong:
            raise ValidationError(wrong)
        try:
            marks_from(self.fin_marks)
        except MarksError as error:
            raise ValidationError(str(error)) from None


NUMBER_FIELDS = [field.name for field in BoardNumbers._meta.fields if field.editable]


class SpecRevision(BoardNumbers):
    """One state of a board's spec. A change is the next revision; the table refuses updates."""

    board = models.ForeignKey("orders.Board", models.PROTECT, related_name="revisions")
    number = models.PositiveIntegerField()
    design_version = models.ForeignKey(
        "orders.DesignVersion", models.PROTECT, null=True, blank=True, related_name="+"
    )
    # The board it was to be the same as, with changes.
    from_spec = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="+", editable=False
    )
    colour = models.TextField(blank=True)
    art = models.TextField(blank=True)
    extras = models.TextField(blank=True)
    bay_notes = models.TextField("notes for the bays", blank=True)
    # Fields of this spec that nobody has confirmed yet: bays that read them stop at them.
    to_confirm = models.JSONField("still to confirm", default=list, blank=True)
    # What was asked and promised for these numbers; after release the board and its log tell.
    price_cents = models.PositiveBigIntegerField("price", default=0)
    promised_on = models.DateField("promised date", null=True, blank=True)
    # The outline as an SVG path, drawn once: the floor shows hundreds.
    silhouette = models.TextField(editable=False)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    made_at = models.DateTimeField()
    reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["board", "number"]
        constraints = [
            models.UniqueConstraint(fields=["board", "number"], name="spec_revision_once"),
            models.CheckConstraint(
                condition=~models.Q(foam="eps", resin="polyester"),
                name="spec_no_polyester_on_polystyrene",
            ),
        ]

    def __str__(self):
        return f"board {self.board_id} spec revision {self.number}"
