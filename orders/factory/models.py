"""The factory itself: its name, how it is reached, its clock, money and ruler."""

import zoneinfo
from functools import cached_property

from django.core.cache import cache
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models


class LengthUnit(models.TextChoices):
    INCHES = "in", "feet, inches and fractions"
    MILLIMETRES = "mm", "millimetres"


def known_zone(name: str) -> None:
    if name not in zoneinfo.available_timezones():
        raise ValidationError(f"{name} is no time zone. Write one such as Europe/Oslo.")


class Factory(models.Model):
    """One row. `current()` is remembered for a minute in each process."""

    name = models.CharField(max_length=80, default="Our factory")
    place = models.CharField(max_length=80, blank=True)
    address = models.TextField(
        "postal address", max_length=300, blank=True, help_text="as it stands on an envelope"
    )
    phone = models.CharField(
        max_length=40, blank=True,
        help_text="for customers: on their board's page and their papers",
    )  # fmt: skip
    opening_hours = models.TextField(
        max_length=300, blank=True, help_text="when a customer finds somebody at the counter"
    )
    time_zone = models.CharField(max_length=60, default="UTC", validators=[known_zone])
    currency = models.CharField(max_length=3, default="EUR", help_text="ISO 4217 letters")
    length_unit = models.CharField(max_length=2, choices=LengthUnit, default=LengthUnit.INCHES)
    phone_region = models.CharField(
        max_length=2, default="GB", help_text="where a phone number without a country code is"
    )
    cut_tolerance_mm = models.FloatField(
        "cut file tolerance, mm",
        default=2.0,
        validators=[MinValueValidator(0.1), MaxValueValidator(50)],
        help_text="how far a cut file's outline may lie from the ordered one before someone "
        "must say why; common practice, no source",
    )
    terms = models.TextField(
        blank=True, help_text="printed on the order confirmation above the signature"
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="factory_is_one_row"),
            models.CheckConstraint(
                condition=models.Q(length_unit__in=LengthUnit.values), name="factory_unit_known"
            ),
        ]

    def __str__(self):
        return self.name

    def save(self, *args, **kwargs):
        super().save(*args, **kwargs)
        cache.delete("factory")

    @classmethod
    def current(cls) -> "Factory":
        if (factory := cache.get("factory")) is None:
            factory, _ = cls.objects.get_or_create(pk=1)
            cache.set("factory", factory, 60)
        return factory

    @property
    def address_lines(self) -> list[str]:
        """Where it is, as papers print it: the postal address, else the place alone."""
        return [line.strip() for line in (self.address or self.place).splitlines() if line.strip()]

    @property
    def phone_to_call(self) -> str:
        """The telephone number as a `tel:` address has it, without its spacing."""
        return "".join(c for c in self.phone if c.isdecimal() or c == "+")

    @cached_property
    def zone(self) -> zoneinfo.ZoneInfo:
        return zoneinfo.ZoneInfo(self.time_zone)
