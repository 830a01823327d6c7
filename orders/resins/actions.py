"""What managers decide for the glass shop."""

from datetime import datetime
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction

from orders.accounts.models import User
from orders.resins.models import CupTest, GlassShop, ResinSystem


@transaction.atomic
def keep_shop(*, shop: GlassShop, by: User, at: datetime) -> GlassShop:
    """The shop's rolls, laps and shares, from now on."""
    shop.pk, shop.changed_by, shop.changed_at = 1, by, at
    shop.full_clean(validate_unique=False)
    shop.save()
    return shop


@transaction.atomic
def keep_resin(*, system: ResinSystem, by: User, at: datetime) -> ResinSystem:
    """A resin as its data sheet has it. Its cup tests count in its convention, so that one
    stays while there are any."""
    if system.pk and system.cup_tests.standing().exists():
        was = ResinSystem.objects.get(pk=system.pk)
        if was.convention != system.convention:
            raise ValidationError(
                {"convention": "The cup tests were timed in the other one. Strike them out "
                               "first, or enter a new resin."}
            )
    system.changed_by, system.changed_at = by, at
    system.full_clean()
    system.save()
    return system


def retire_resin(*, system: ResinSystem, at: datetime) -> None:
    """No longer offered; its tests are kept."""
    system.retired_at = at
    system.save(update_fields=["retired_at"])


def bring_back_resin(*, system: ResinSystem) -> None:
    system.retired_at = None
    system.save(update_fields=["retired_at"])


@transaction.atomic
def add_cup_test(
    *,
    system: ResinSystem,
    percent: Decimal,
    celsius: Decimal,
    minutes: Decimal,
    by: User,
    at: datetime,
) -> CupTest:
    test = CupTest(
        system=system, percent=percent, celsius=celsius, minutes=minutes, timed_by=by, timed_at=at
    )
    test.full_clean()
    test.save()
    return test


def strike_cup_test(*, test: CupTest, at: datetime) -> None:
    """A cup that was mistimed no longer counts; the row is kept."""
    test.struck_at = at
    test.save(update_fields=["struck_at"])
