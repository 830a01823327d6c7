from django.db import models


class Thing(models.Model):
    token = models.CharField(max_length=8, unique=True)
    state = models.CharField(max_length=12, default="waiting")
    count = models.PositiveIntegerField(default=0)
    at = models.DateTimeField(null=True)

    class Meta:
        app_label = "bare"

    def __str__(self):
        return self.token


class Happening(models.Model):
    ref = models.UUIDField(unique=True)
    thing = models.ForeignKey(Thing, models.PROTECT)
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=12)
    at = models.DateTimeField()

    class Meta:
        app_label = "bare"
        constraints = [
            models.UniqueConstraint(fields=["thing", "number"], name="happening_number_once")
        ]

    def __str__(self):
        return f"{self.kind} of {self.thing_id}"
