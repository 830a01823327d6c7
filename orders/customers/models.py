"""Riders, shops and labels: those who order."""

from django.db import models

from orders.customers.folding import fold


class CustomerKind(models.TextChoices):
    RIDER = "rider", "Rider"
    SHOP = "shop", "Shop"
    LABEL = "label", "Label"


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
    phone = models.CharField(max_length=20, blank=True, help_text="E.164")
    email = models.EmailField(blank=True)
    notes = models.TextField(blank=True)
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
            )
        ]

    def __str__(self):
        return self.name
