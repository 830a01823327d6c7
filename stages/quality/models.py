"""What a factory decides once about its last check: tolerances, and what its records tell."""

from django.conf import settings
from django.core.cache import cache
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from orders.shape.units import NM_PER_INCH
from orders.specs.models import LengthField
from stages.quality.limits import Kind

_16TH = NM_PER_INCH // 16
# A repairer who measures many boards calls 1/16 in off understandable and 1/8 in generous (Are the
# numbers right, raptorcorn.com; a blog): so thickness and widths. The others are common practice,
# no source.
USUAL_NM = {
    Kind.LENGTH: 4 * _16TH,
    Kind.WIDTH: 2 * _16TH,
    Kind.THICKNESS: _16TH,
    Kind.PLACE: 8 * _16TH,
    Kind.ROCKER: 2 * _16TH,
    Kind.FIN: 2 * _16TH,
}
_WITHIN = [MinValueValidator(NM_PER_INCH // 64), MaxValueValidator(4 * NM_PER_INCH)]


def _tolerance(name: str, nm: int) -> LengthField:
    return LengthField(name, default=nm, validators=_WITHIN)


class QualityRules(models.Model):
    """One row; until a manager saves it what is usual stands. Remembered for a minute."""

    sheet = models.BooleanField("a QC sheet is filled in before a board passes", default=True)
    name_hands = models.BooleanField("the board's record names the hands", default=False)
    length_nm = _tolerance("length", USUAL_NM[Kind.LENGTH])
    width_nm = _tolerance("widths", USUAL_NM[Kind.WIDTH])
    thickness_nm = _tolerance("thickness", USUAL_NM[Kind.THICKNESS])
    place_nm = _tolerance("wide point", USUAL_NM[Kind.PLACE])
    rocker_nm = _tolerance("rocker", USUAL_NM[Kind.ROCKER])
    fin_nm = _tolerance("fins and plug", USUAL_NM[Kind.FIN])
    even_nm = _tolerance("fins, left against right", _16TH)
    mass_percent = models.PositiveSmallIntegerField(
        "mass, %", default=10, validators=[MaxValueValidator(100)]
    )
    changed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, editable=False, related_name="+"
    )
    changed_at = models.DateTimeField(null=True, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="quality_rules_are_one_row"),
        ]

    def __str__(self):
        return "the rules of QC"

    def save(self, *args, **kwargs):
        super().save(*args, **kwargs)
        cache.delete("quality-rules")

    @classmethod
    def current(cls) -> "QualityRules":
        if (rules := cache.get("quality-rules")) is None:
            rules = cls.objects.filter(pk=1).first() or cls(pk=1)
            cache.set("quality-rules", rules, 60)
        return rules

    def tolerance(self, kind: Kind) -> int:
        return getattr(self, f"{kind.value}_nm")
