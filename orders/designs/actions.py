"""What managers do to the house's designs."""

from datetime import datetime

from django.db import transaction

from orders.designs.models import Design, DesignVersion
from orders.specs.actions import differs


@transaction.atomic
def add_design(
    *, name: str, board_class: str, note: str, base_price_cents: int, numbers: dict, at: datetime
) -> DesignVersion:
    """A new design with its first version. `numbers` holds BoardNumbers' fields by name."""
    design = Design(
        name=" ".join(name.split()),
        board_class=board_class,
        note=note,
        base_price_cents=base_price_cents,
    )
    design.full_clean()
    design.save()
    return add_version(design=design, numbers=numbers, at=at)


@transaction.atomic
def add_version(*, design: Design, numbers: dict, at: datetime) -> DesignVersion:
    """The design's next version; the newest one when `numbers` change nothing.

    Boards already ordered keep the version they started from.
    """
    newest = design.versions.order_by("-number").first()
    if newest and not differs(newest, numbers):
        return newest
    version = DesignVersion(
        design=design, number=newest.number + 1 if newest else 1, made_at=at, **numbers
    )
    version.full_clean()
    version.save()
    return version


def retire_design(*, design: Design, at: datetime) -> None:
    """No new board starts from it; those that did keep it."""
    design.retired_at = at
    design.save(update_fields=["retired_at"])


def bring_back_design(*, design: Design) -> None:
    design.retired_at = None
    design.save(update_fields=["retired_at"])
