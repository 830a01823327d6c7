"""People who sign in, and the shared tablets they sign in on."""

import secrets

from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.models import AbstractUser, UserManager
from django.db import models


class Role(models.TextChoices):
    COUNTER = "counter", "Counter"
    CREW = "crew", "Crew"
    MANAGER = "manager", "Manager"
    OWNER = "owner", "Owner"


class People(UserManager):
    use_in_migrations = False

    def create_superuser(self, username, email=None, password=None, **fields):
        """What `manage.py createsuperuser` makes is an owner."""
        fields.setdefault("role", Role.OWNER)
        return super().create_superuser(username, email, password, **fields)


class User(AbstractUser):
    """One person. The name is what the crew calls them; the role says what they may do."""

    first_name = None
    last_name = None
    name = models.CharField(max_length=60)
    role = models.CharField(max_length=10, choices=Role, default=Role.CREW)
    pin = models.CharField("PIN, hashed", max_length=128, blank=True)

    objects = People()

    REQUIRED_FIELDS = ["name"]

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="user_role_known")
        ]

    def __str__(self):
        return self.name

    def get_full_name(self):
        return self.name

    get_short_name = get_full_name

    def set_pin(self, pin: str) -> None:
        self.pin = make_password(pin)

    def check_pin(self, pin: str) -> bool:
        return bool(self.pin) and check_password(pin, self.pin)

    @property
    def manages(self) -> bool:
        return self.role in {Role.MANAGER, Role.OWNER}


class Tablet(models.Model):
    """A shared device in a bay. It knows the crew's names; each person adds their PIN."""

    name = models.CharField(max_length=60)
    key = models.CharField(max_length=64, unique=True, default=secrets.token_urlsafe)
    added_by = models.ForeignKey(User, models.PROTECT)
    added_at = models.DateTimeField()
    retired_at = models.DateTimeField(null=True, blank=True)

    def __str__(self):
        return self.name
