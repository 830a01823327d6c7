"""Forms for many boards alike: which are changed together, dates in parts, cancelling some."""

from datetime import date

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from orders.dates import DateField
from orders.merging.forms import MergingForm
from orders.orderbook.alike import dated, dates_in_parts
from orders.orderbook.models import Board
from orders.orderbook.moved import WhyMovedForm
from orders.templatetags.trade import day

BLANK_ROWS = 2


class BoardsField(forms.TypedMultipleChoiceField):
    """Ticks of boards, by number; cleaned to the boards themselves."""

    def __init__(self, **kwargs):
        super().__init__(
            coerce=int, widget=forms.CheckboxSelectMultiple,
            error_messages={
                "required": _lazy("Tick the boards."),
                "invalid_choice": _lazy(
                    "Board %(value)s was changed, released or cancelled meanwhile. "
                    "Open the order again."
                ),
            },
            **kwargs,
        )  # fmt: skip

    def offer(self, boards: list[Board]) -> None:
        self.boards = {board.number: board for board in boards}
        self.choices = [(number, str(number)) for number in self.boards]

    def clean(self, value):
        return [self.boards[number] for number in super().clean(value)]


class AlsoForm(forms.Form):
    """Which of the boards alike are changed together with one of them."""

    also = BoardsField(label=_lazy("Change these with it"), required=False)

    def __init__(self, *args, boards: list[Board], **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["also"].offer(boards)


class CancelBoardsForm(forms.Form):
    """Boards that nobody wants any more."""

    boards = BoardsField(label=_lazy("Which"))
    sure = forms.BooleanField(error_messages={"required": _lazy("Tick that you are sure.")})

    def __init__(self, *args, boards: list[Board], **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["boards"].offer(boards)


class PartsForm(MergingForm, WhyMovedForm):
    """Dates for boards alike in parts: so many by a day, so many by another, the rest by a third.
    A row with a day and no number stands for the rest."""

    def __init__(self, *args, boards: list[Board], today: date, **kwargs):
        parts = dates_in_parts(boards)
        initial = {}
        for row, (on, many) in enumerate(parts):
            initial |= {f"many_{row}": many, f"on_{row}": on}
        super().__init__(*args, initial=initial, **kwargs)
        self.boards, self.today, self.parts = boards, today, []
        self.known = {on for on, _many in parts if on}
        alone = len(boards) == 1
        self.row_numbers = range(1 if alone else len(parts) + BLANK_ROWS)
        for row in self.row_numbers:
            self.fields[f"many_{row}"] = forms.IntegerField(
                label=_lazy("How many"), required=False, min_value=1, max_value=len(boards)
            )
            if alone:
                self.fields[f"many_{row}"].widget = forms.HiddenInput()
            self.fields[f"on_{row}"] = DateField(label=_lazy("By"), required=False)
            self.fields[f"on_{row}"].widget.attrs["min"] = today.isoformat()

    @property
    def rows(self):
        return [(self[f"many_{row}"], self[f"on_{row}"]) for row in self.row_numbers]

    def clean(self):
        cleaned = super().clean()
        for row in self.row_numbers:
            on = cleaned.get(f"on_{row}")
            if on and on < self.today and on not in self.known:
                said = _("%(day)s has passed. Choose today or a later day.") % {"day": day(on)}
                self.add_error(f"on_{row}", said)
        if self.errors:
            return cleaned
        self.parts = self._parts(cleaned)
        moved = [
            (board.promised_on, on)
            for board, on in self.dates.items()
            if board.promised_on and on and on != board.promised_on
        ]
        if moved:
            before, on = moved[0]
            self.ask_why_moved(before=before, on=on)
        return cleaned

    @property
    def dates(self) -> dict[Board, date | None]:
        return dated(self.boards, self.parts)

    def _parts(self, cleaned: dict) -> list[tuple[date | None, int]]:
        rows = [(cleaned[f"on_{row}"], cleaned[f"many_{row}"]) for row in self.row_numbers]
        rows = [(on, many) for on, many in rows if on or many]
        told = sum(many or 0 for _on, many in rows)
        rests = [on for on, many in rows if not many]
        said = {"told": told, "all": len(self.boards)}
        if len(rests) > 1:
            raise ValidationError(_("Only one row can stand for the rest: type the numbers."))
        if told > len(self.boards) or (told < len(self.boards) and not rests):
            raise ValidationError(
                _("The rows are for %(told)s boards, and there are %(all)s.") % said
            )
        return [(on, many or len(self.boards) - told) for on, many in rows]
