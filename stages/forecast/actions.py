"""What managers decide for dates and promises."""

from datetime import datetime

from django.db import transaction

from orders.accounts.models import User
from stages.crew.queries import hours_changed
from stages.forecast.models import ForecastSettings


@transaction.atomic
def keep_settings(*, settings: ForecastSettings, by: User, at: datetime) -> ForecastSettings:
    """From now on. Promises that were given stay as they were given."""
    settings.pk, settings.changed_by, settings.changed_at = 1, by, at
    settings.full_clean(validate_unique=False)
    settings.save()
    hours_changed()
    return settings
