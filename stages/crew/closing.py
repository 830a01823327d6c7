"""What the manager decides about days on which nobody works."""

from datetime import date

from stages.crew.models import ClosedDays, PublicHolidays
from stages.crew.queries import hours_changed


def close_factory(*, first: date, last: date, why: str) -> ClosedDays:
    """Shuts the factory from one day to another, both in."""
    closed = ClosedDays(first=first, last=last, why=why)
    closed.full_clean()
    closed.save()
    hours_changed()
    return closed


def open_again(*, closed: ClosedDays) -> None:
    closed.delete()
    hours_changed()


def keep_holidays(*, country: str, region: str) -> None:
    """The public holidays of this country, or of one region of it, are days off."""
    PublicHolidays.objects.update_or_create(
        pk=1, defaults={"country": country, "region": region}
    )
    hours_changed()
