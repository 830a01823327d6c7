"""Riders, shops and labels: those who order."""

from django.db import models

from orders.customers.folding import fold


class CustomerKind(models.TextChoices):
    RIDER = "rider", "Rider"
    SHOP = "shop", "Shop"
    LABEL = "label", "Label"


class ReadsIn(models.TextChoices):
    SHOPS = "", "As the shop does"
    INCHES = "in", "Feet, inches and fractions"
    MILLIMETRES = "mm", "Millimetres"
    CENTIMETRES = "cm", "Centimetres"


class CustomerQuerySet(models.QuerySet):
    def matching(self, words: str):
        """Those whose name, phone or e-mail holds every word, whatever the accents and case."""
        found = self
        for word in fold(words).split():
            found = found.filter(search__contains=word)
        return found


class Customer(models.Model):
    kind = models.CharField(max_length=5, choices=CustomerKind, default=CustomerKind.RIDER)
    name = models.CharField(max_length=100)
    phone = models.CharField(
        max_length=40, blank=True, help_text="E.164, or as typed where nobody can check it"
    )
    email = models.EmailField(blank=True)
    notes = models.TextField(blank=True)
    length_unit = models.CharField(
        "reads lengths in", max_length=2, choices=ReadsIn, default=ReadsIn.SHOPS, blank=True
    )
    # Name, phone and e-mail without accents or case: SQLite compares only ASCII letters.
    search = models.CharField(max_length=300, editable=False)
    added_at = models.DateTimeField()

    objects = CustomerQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        indexes = [
            models.Index(fields=["phone"]),
            models.Index(fields=["email"]),
            models.Index(fields=["search"]),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(kind__in=CustomerKind.values), name="customer_kind_known"
            ),
            models.CheckConstraint(
                condition=models.Q(length_unit__in=ReadsIn.values), name="customer_unit_known"
            ),
        ]

    def __str__(self):
        return self.name

    @property
    def label(self) -> str:
        """What stands on its boards in place of ours; "" where that is the factory's own."""
        return self.name if self.kind == CustomerKind.LABEL else ""


class Ability(models.TextChoices):
    BEGINNER = "beginner", "Beginner"
    INTERMEDIATE = "intermediate", "Intermediate"
    ADVANCED = "advanced", "Advanced"
    EXPERT = "expert", "Expert"


class HowOften(models.TextChoices):
    SELDOM = "seldom", "Now and then"
    MONTHLY = "monthly", "A few times a month"
    WEEKLY = "weekly", "Every week"
    MOST_DAYS = "most_days", "Most days"


class Fitness(models.TextChoices):
    BUILDING = "building", "Building up"
    USUAL = "usual", "Paddles all right"
    STRONG = "strong", "Strong paddler"


class Wetsuit(models.TextChoices):
    NONE = "none", "None"
    SHORT = "short", "Short suit"
    FULL = "full", "Full suit"


class Waves(models.TextChoices):
    WEAK = "weak", "Weak"
    EVERYDAY = "everyday", "Everyday"
    GOOD = "good", "Good"
    BIG = "big", "Big"


class RiderProfile(models.Model):
    """What a rider told the counter so that a board fits. Private: counter and managers alone.

    Nothing of it is needed to order. `*_written` is how it was said, so that it reads back so.
    """

    customer = models.OneToOneField(Customer, models.CASCADE, related_name="rider")
    mass_g = models.PositiveIntegerField("weight", null=True, blank=True)
    mass_written = models.CharField(max_length=2, blank=True)
    height_nm = models.BigIntegerField("height", null=True, blank=True)
    height_written = models.CharField(max_length=10, blank=True)
    ability = models.CharField(max_length=12, choices=Ability, blank=True)
    often = models.CharField("surfs", max_length=9, choices=HowOften, blank=True)
    fitness = models.CharField("paddling", max_length=8, choices=Fitness, blank=True)
    wetsuit = models.CharField(max_length=5, choices=Wetsuit, blank=True)
    waves = models.CharField("usual waves", max_length=8, choices=Waves, blank=True)
    told_at = models.DateTimeField()

    def __str__(self):
        return f"rider particulars of customer {self.customer_id}"


RIDER_FIELDS = [
    field.name
    for field in RiderProfile._meta.fields
    if field.name not in ("id", "customer", "told_at")
]
