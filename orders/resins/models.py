"""What a factory's glass shop decides once: its rolls and laps, its resins, its own cup tests."""

from decimal import Decimal

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from orders.glassing import hardener
from orders.glassing.resin import USUAL_FILLER_GSM, USUAL_RATIO
from orders.shape.units import NM_PER_INCH
from orders.specs.choices import Resin
from orders.specs.models import LengthField

# Common practice: rolls of 27, 30 and 38 in.
USUAL_ROLLS_IN = (27, 30, 38)


def usual_rolls() -> list[int]:
    return [inches * NM_PER_INCH for inches in USUAL_ROLLS_IN]


def usual_cloths() -> list[str]:
    return ["4 oz", "6 oz", "4 + 4 oz", "4 + 4 oz S", "6 + 4 oz", "6 + 6 oz"]


def supplier_chart() -> list[list[float]]:
    return [list(row) for row in hardener.SUPPLIER_CHART]


def between(low, high) -> list:
    return [MinValueValidator(low), MaxValueValidator(high)]


class GlassShop(models.Model):
    """One row; until a manager saves it the usual figures stand. Lap and rolls in nanometres,
    filler coat and gloss in g/m2, foam in kg/m3 (none: the usual span for the kind)."""

    roll_widths_nm = models.JSONField(default=usual_rolls)
    # As they are ordered for a deck or a bottom; other cloth is asked about.
    cloths = models.JSONField(default=usual_cloths, blank=True)
    lap_nm = LengthField("lap", default=2 * NM_PER_INCH)
    waste_percent = models.DecimalField(
        max_digits=4, decimal_places=1, default=5, validators=between(0, 50)
    )
    resin_ratio = models.DecimalField(
        max_digits=3, decimal_places=2, default=USUAL_RATIO, validators=between(0.5, 2.5)
    )
    filler_gsm = models.PositiveIntegerField(
        default=USUAL_FILLER_GSM, validators=between(100, 1000)
    )
    gloss_gsm = models.PositiveIntegerField(default=150, validators=between(50, 500))
    bay_c = models.DecimalField(
        max_digits=3, decimal_places=1, default=20, validators=between(0, 45)
    )
    pu_kg_m3 = models.DecimalField(
        max_digits=4, decimal_places=1, null=True, blank=True, validators=between(10, 200)
    )
    eps_kg_m3 = models.DecimalField(
        max_digits=4, decimal_places=1, null=True, blank=True, validators=between(10, 200)
    )
    changed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, editable=False, related_name="+"
    )
    changed_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="glass_shop_is_one_row"),
        ]

    def __str__(self):
        return "the glass shop"

    @classmethod
    def current(cls) -> "GlassShop":
        return cls.objects.filter(pk=1).first() or cls(pk=1)


class Convention(models.TextChoices):
    ML_PER_100_G = hardener.ML_PER_100_G, "millilitres to 100 g of resin"
    WEIGHT = hardener.BY_WEIGHT, "true weight: grams to 100 g of resin"


class MeasuredBy(models.TextChoices):
    VOLUME = "volume", "volume"
    WEIGHT = "weight", "weight"


class ResinSystemQuerySet(models.QuerySet):
    def in_use(self):
        return self.filter(retired_at=None)


class ResinSystem(models.Model):
    """A resin and the hardener it is sold with. A polyester has a chart (from C, below C, per
    cent) and its convention, an epoxy its parts and pot life."""

    name = models.CharField(max_length=60, unique=True)
    kind = models.CharField(max_length=9, choices=Resin)
    convention = models.CharField(
        max_length=12, choices=Convention, default=Convention.ML_PER_100_G
    )
    chart = models.JSONField(default=supplier_chart)
    parts_resin = models.DecimalField(
        max_digits=6, decimal_places=2, default=2, validators=between(0.1, 1000)
    )
    parts_hardener = models.DecimalField(
        max_digits=6, decimal_places=2, default=1, validators=between(0.1, 1000)
    )
    measured_by = models.CharField(
        max_length=6, choices=MeasuredBy, default=MeasuredBy.VOLUME
    )
    resin_g_per_ml = models.DecimalField(
        max_digits=4, decimal_places=3, default=1.13, validators=between(0.7, 2)
    )
    hardener_g_per_ml = models.DecimalField(
        max_digits=4, decimal_places=3, default=hardener.CATALYST_G_PER_ML,
        validators=between(0.7, 2),
    )
    coldest_c = models.DecimalField(
        max_digits=3, decimal_places=1, default=hardener.COLDEST_POLYESTER_C,
        validators=between(5, 30),
    )
    hottest_c = models.DecimalField(
        max_digits=3, decimal_places=1, default=hardener.HOTTEST_C, validators=between(20, 60),
    )
    # Common practice, no source: the most that is mixed in one pot, less of an epoxy, which has
    # to wait longer in it.
    pot_safe_g = models.PositiveIntegerField(default=500, validators=between(20, 5000))
    pot_minutes = models.PositiveIntegerField(null=True, blank=True, validators=between(1, 600))
    pot_at_c = models.DecimalField(
        max_digits=3, decimal_places=1, null=True, blank=True, validators=between(5, 45)
    )
    retired_at = models.DateTimeField(null=True, blank=True, editable=False)
    changed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, editable=False, related_name="+"
    )
    changed_at = models.DateTimeField(null=True, editable=False)

    objects = ResinSystemQuerySet.as_manager()

    class Meta:
        ordering = ["kind", "name"]

    def __str__(self):
        return self.name

    @property
    def is_polyester(self) -> bool:
        return self.kind == Resin.POLYESTER

    def clean(self):
        super().clean()
        lowest = hardener.COLDEST_POLYESTER_C
        if self.is_polyester and self.coldest_c is not None and self.coldest_c < lowest:
            raise ValidationError(
                {"coldest_c": f"Polyester is not cured below {lowest:g} C, whatever the dose."}
            )
        if None not in (self.coldest_c, self.hottest_c) and self.coldest_c >= self.hottest_c:
            raise ValidationError({"hottest_c": "Warmer than the coldest it may be used at."})
        if self.kind == Resin.EPOXY and (self.pot_minutes is None) != (self.pot_at_c is None):
            raise ValidationError(
                {"pot_minutes": "A pot life needs both: its minutes, and the temperature they "
                                "were given at."}
            )

    @classmethod
    def usual(cls, kind: str) -> "ResinSystem":
        """What stands until a manager enters the resin in use; not saved."""
        if kind == Resin.POLYESTER:
            return cls(name="Usual polyester", kind=kind)
        usual = hardener.Epoxy()
        return cls(
            name="Usual epoxy",
            kind=kind,
            resin_g_per_ml=Decimal(str(usual.resin_g_per_ml)),
            hardener_g_per_ml=Decimal(str(usual.hardener_g_per_ml)),
            coldest_c=Decimal(str(usual.coldest_c)),
            pot_safe_g=300,
        )


class CupTestQuerySet(models.QuerySet):
    def standing(self):
        return self.filter(struck_at=None)


class CupTest(models.Model):
    """A small cup of one resin, timed to its gel: per cent in the system's own convention."""

    system = models.ForeignKey(ResinSystem, models.PROTECT, related_name="cup_tests")
    percent = models.DecimalField(
        max_digits=4, decimal_places=2, validators=between(*hardener.ALLOWED_PERCENT)
    )
    celsius = models.DecimalField(max_digits=3, decimal_places=1, validators=between(15, 45))
    minutes = models.DecimalField(max_digits=4, decimal_places=1, validators=between(1, 600))
    timed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    timed_at = models.DateTimeField()
    struck_at = models.DateTimeField(null=True, blank=True)

    objects = CupTestQuerySet.as_manager()

    class Meta:
        ordering = ["percent", "celsius", "timed_at"]

    def __str__(self):
        percent, celsius, minutes = map(float, (self.percent, self.celsius, self.minutes))
        return f"{percent:g} % at {celsius:g} C: {minutes:g} min"
