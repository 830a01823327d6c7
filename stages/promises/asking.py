"""What the order form asks about: the board as typed so far, how many of it, how sure."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from orders.orderbook.forms import MOST_ALIKE, BoardForm
from orders.specs.models import NUMBER_FIELDS, SpecRevision
from orders.whole_numbers import whole_number
from stages.forecast.queries import forecast_settings

CONFIDENCES = (50, 80, 85, 90, 95)


@dataclass(frozen=True)
class Asked:
    """`spec` is not saved. `typed` is the date that stands in the form; `instead_of` the number of
    the board in the order book that is being changed."""

    spec: SpecRevision
    comes_shaped: bool
    boards: int
    percent: int
    typed: date | None
    instead_of: int | None

    @property
    def confidence(self) -> float:
        return self.percent / 100

    @property
    def confidences(self) -> list[int]:
        """Those to choose from, the factory's own among them."""
        return sorted({*CONFIDENCES, self.percent, forecast_settings().confidence_percent})

    @property
    def words(self) -> str:
        """All that the answer depends on, beside the floor."""
        spec = self.spec
        design = spec.design_version.design.board_class if spec.design_version else ""
        seen = (
            spec.resin, spec.box_kind, spec.leash_plug, spec.finish, design, self.comes_shaped,
            self.boards, self.percent, self.typed, self.instead_of,
        )
        return "|".join(map(str, seen))


def asked_of(typed: Mapping[str, str], *, today: date) -> Asked:
    """Of whatever can be read so far; what cannot is taken as usual. Never an error."""
    form = BoardForm(typed, today=today)
    form.is_valid()
    cleaned = form.cleaned_data
    values = {name: cleaned[name] for name in NUMBER_FIELDS if name in cleaned}
    return Asked(
        spec=SpecRevision(**values, design_version=cleaned.get("design_version")),
        comes_shaped=bool(cleaned.get("comes_shaped")),
        boards=_whole(typed.get("how_many"), MOST_ALIKE) or 1,
        percent=_whole(typed.get("sure"), 99) or forecast_settings().confidence_percent,
        typed=cleaned.get("promised_on"),
        instead_of=_whole(typed.get("of_board"), 10**9),
    )


def _whole(text: str | None, most: int) -> int | None:
    """A whole number from 1 to `most`."""
    number = whole_number(text) or 0
    return number if 1 <= number <= most else None
