"""What was paid towards an order."""

from django.conf import settings
from django.db import models


class Payment(models.Model):
    """Money received. A mistake is mended by a negative payment with its reason."""

    order = models.ForeignKey("orders.Order", models.PROTECT, related_name="payments")
    amount_cents = models.BigIntegerField("amount")
    note = models.CharField(max_length=100, blank=True)
    taken_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    taken_at = models.DateTimeField()

    class Meta:
        ordering = ["taken_at", "pk"]
        constraints = [
            models.CheckConstraint(condition=~models.Q(amount_cents=0), name="payment_not_nothing")
        ]

    def __str__(self):
        return f"payment of {self.amount_cents} on {self.order}"
