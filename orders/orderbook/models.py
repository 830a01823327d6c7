"""The order book: what one customer, label or shop asked for, board by board."""

import secrets

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from orders.customers.models import Customer
from orders.orderbook.chance import chance_words


def rider_token() -> str:
    return secrets.token_urlsafe(16)


class Order(models.Model):
    number = models.PositiveIntegerField(unique=True)
    # Made where the order was typed, so that sending the form twice takes one order.
    ref = models.UUIDField(unique=True)
    customer = models.ForeignKey(Customer, models.PROTECT, related_name="orders")
    taken_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    taken_at = models.DateTimeField(db_index=True)
    deposit_cents = models.PositiveBigIntegerField("deposit asked", default=0)
    note = models.TextField(blank=True)
    # The confirmation on paper, signed by the customer.
    signed_at = models.DateTimeField(null=True, blank=True)
    signed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    cancelled_at = models.DateTimeField(null=True, blank=True)
    cancelled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+"
    )
    kept_cents = models.PositiveBigIntegerField("kept of what was paid", default=0)

    class Meta:
        ordering = ["-number"]

    def __str__(self):
        return f"order {self.number}"

    @property
    def kept_words(self) -> str:
        """What a cancelled order keeps, called what it is."""
        if 0 < self.kept_cents <= self.deposit_cents:
            return _("Deposit kept")
        return _("Kept of what was paid")


def in_turn(board: str = "") -> tuple:
    """What every queue is ordered by: boards put first, then by promise, those without one last,
    then by number. `board` leads to the board, such as "board__"."""
    promised = models.F(f"{board}promised_on").asc(nulls_last=True)
    return f"-{board}first_in_line", promised, f"{board}number"


class BoardQuerySet(models.QuerySet):
    def unreleased(self):
        """Ordered, not cancelled, not yet on the floor."""
        return self.filter(released_at=None, cancelled_at=None)


class Board(models.Model):
    """One physical board and its work order."""

    number = models.PositiveIntegerField(unique=True)
    order = models.ForeignKey(Order, models.PROTECT, related_name="boards")
    price_cents = models.PositiveBigIntegerField("price", default=0)
    promised_on = models.DateField("promised date", null=True, blank=True)
    spec = models.ForeignKey(
        "orders.SpecRevision", models.PROTECT, null=True, blank=True, related_name="+"
    )
    rider_token = models.CharField(max_length=32, unique=True, default=rider_token)
    released_at = models.DateTimeField(null=True, blank=True)
    cancelled_at = models.DateTimeField(null=True, blank=True)
    # The board beyond saving that this one is made again for; its price and promise came along.
    remake_of = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="remade_as"
    )
    first_in_line = models.BooleanField("before all others in every bay", default=False)
    comes_shaped = models.BooleanField(
        "comes shaped",
        default=False,
        help_text="brought here as a shaped blank: it starts at glassing and needs no foam of ours",
    )

    objects = BoardQuerySet.as_manager()

    class Meta:
        ordering = ["number"]
        indexes = [
            models.Index(
                fields=["promised_on", "number"],
                name="board_unreleased",
                condition=models.Q(released_at=None, cancelled_at=None),
            )
        ]

    def __str__(self):
        return f"board {self.number}"

    @property
    def promise(self) -> "Promise | None":
        """How its date was given; read `promises` ahead for many boards."""
        given = list(self.promises.all()) if self.promised_on else []
        return given[-1] if given and given[-1].promised_on == self.promised_on else None

    def read_for_change(self) -> None:
        """Read anew inside a transaction, so that two at the desk do not act on what was.

        PostgreSQL locks the row; on SQLite the transaction itself is alone in writing.
        """
        self.refresh_from_db(from_queryset=Board.objects.select_for_update())


class WhyMoved(models.TextChoices):
    """Why a board has another date than the one given before."""

    BEHIND = "behind", _lazy("The floor is behind")
    MATERIAL = "material", _lazy("Foam, cloth or resin is missing")
    AGAIN = "again", _lazy("Something had to be done again")
    OUTSIDE = "outside", _lazy("Another workshop takes longer")
    CHANGED = "changed", _lazy("The customer changed the board")
    CUSTOMER = "customer", _lazy("The customer wants another day")
    SOONER = "sooner", _lazy("It can be done sooner")
    SLIP = "slip", _lazy("The date before was a slip")
    OTHER = "other", _lazy("Another reason, in words")


class Promise(models.Model):
    """A date given for a board, and how sure it was when it was given. Rows never change: another
    date is another row, and the newest is the board's `promised_on` while it has one."""

    board = models.ForeignKey(Board, models.PROTECT, related_name="promises")
    given_at = models.DateTimeField()
    given_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    promised_on = models.DateField("promised date", db_index=True)
    # The certainty the day was worked out for; none where it was chosen by feel.
    confidence_percent = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(99)]
    )
    # The chance of that very day as it was told then, from 0 to 1; none where nobody asked.
    chance = models.FloatField(
        null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(1)]
    )

    # Why it is another date than the board's one before; none of a first date.
    moved_for = models.CharField(max_length=8, choices=WhyMoved, blank=True)
    moved_words = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["board", "given_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(moved_for__in=["", *WhyMoved.values]),
                name="promise_moved_for_known",
            ),
            models.CheckConstraint(
                condition=models.Q(confidence_percent=None)
                | models.Q(confidence_percent__range=(1, 99)),
                name="promise_confidence_is_a_chance",
            ),
            models.CheckConstraint(
                condition=models.Q(chance=None) | models.Q(chance__range=(0, 1)),
                name="promise_chance_from_0_to_1",
            ),
        ]

    def __str__(self):
        return f"{self.board} promised for {self.promised_on}"

    @property
    def chance_words(self) -> str:
        return chance_words(self.chance)


class ShapedArrival(models.Model):
    """Shaped blanks of an order that were brought in: how many, and by whom."""

    order = models.ForeignKey(Order, models.PROTECT, related_name="arrivals")
    number = models.PositiveSmallIntegerField("how many came in")
    brought_by = models.CharField("who brought them", max_length=80)
    noted_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at"]
        constraints = [
            models.CheckConstraint(condition=models.Q(number__gte=1), name="arrival_of_some")
        ]

    def __str__(self):
        return f"{self.number} for {self.order}"
