"""What was paid towards an order, what was let off, and what a price was before."""

from django.conf import settings
from django.db import models
from django.db.models import Q


class PaymentKind(models.TextChoices):
    DEPOSIT = "deposit", "Deposit"
    PART = "part", "Part payment"
    BALANCE = "balance", "Balance"
    REFUND = "refund", "Refund"
    CORRECTION = "correction", "Correction"


class Payment(models.Model):
    """Money received, or given back: then less than nothing. Rows never change: a mistake is
    mended by a correction with its reason."""

    order = models.ForeignKey("orders.Order", models.PROTECT, related_name="payments")
    kind = models.CharField(max_length=10, choices=PaymentKind, default=PaymentKind.PART)
    amount_cents = models.BigIntegerField("amount")
    note = models.CharField(max_length=100, blank=True)
    taken_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    taken_at = models.DateTimeField()

    class Meta:
        ordering = ["taken_at", "pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(amount_cents=0), name="payment_not_nothing"),
            models.CheckConstraint(
                condition=Q(kind__in=["deposit", "part", "balance"], amount_cents__gt=0)
                | Q(kind="refund", amount_cents__lt=0)
                | Q(kind="correction"),
                name="payment_kind_has_its_sign",
            ),
        ]

    def __str__(self):
        return f"payment of {self.amount_cents} on {self.order}"


class Discount(models.Model):
    """An amount let off an order. One given by mistake is withdrawn, and stays written."""

    order = models.ForeignKey("orders.Order", models.PROTECT, related_name="discounts")
    amount_cents = models.PositiveBigIntegerField("amount")
    reason = models.CharField(max_length=100)
    given_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    given_at = models.DateTimeField()
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["given_at", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(amount_cents__gt=0), name="discount_of_some")
        ]

    def __str__(self):
        return f"discount of {self.amount_cents} on {self.order}"


class PriceChange(models.Model):
    """Another price for a board on the floor or beyond; before that its spec's revisions tell."""

    board = models.ForeignKey("orders.Board", models.PROTECT, related_name="price_changes")
    before_cents = models.PositiveBigIntegerField("price before")
    after_cents = models.PositiveBigIntegerField("price after")
    reason = models.CharField(max_length=200)
    changed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    changed_at = models.DateTimeField()

    class Meta:
        ordering = ["changed_at", "pk"]

    def __str__(self):
        return f"price of {self.board} from {self.before_cents} to {self.after_cents}"
