"""What managers decide for QC."""

from datetime import datetime

from django.db import transaction

from orders.accounts.models import User
from stages.quality.models import QualityRules


@transaction.atomic
def keep_rules(*, rules: QualityRules, by: User, at: datetime) -> QualityRules:
    """From now on; sheets that are kept keep the limits they were held against."""
    rules.pk, rules.changed_by, rules.changed_at = 1, by, at
    rules.full_clean(validate_unique=False)
    rules.save()
    return rules
