"""Formsets that edit what is kept: whose rows are one value, such as the stations of a blank, and
whose rows are kept one by one, such as a person's days off."""

from django import forms
from django.core import signing
from django.core.exceptions import ValidationError
from django.forms.formsets import DELETION_FIELD_NAME, INITIAL_FORM_COUNT, TOTAL_FORM_COUNT
from django.utils.datastructures import MultiValueDict
from django.utils.html import format_html
from django.utils.translation import gettext as _

from orders.merging.forms import BASE, as_lists, base_version, plain
from orders.merging.merge import three_way_merge
from orders.whole_numbers import whole_number

_SALT = "base version of rows"
_ROWS = "rows"


class MergingRows(forms.BaseFormSet):
    """Merges all its rows as one value: see orders.merging.forms.MergingForm.

    A subclass names the rows kept now and those sent, as lists that JSON can hold, and says a
    list of them in words. `standing_rows` is what the save leaves. Its page carries `base`.
    """

    def kept_rows(self) -> list:
        raise NotImplementedError

    def sent_rows(self) -> list:
        raise NotImplementedError

    def rows_in_words(self, rows: list) -> str:
        raise NotImplementedError

    @property
    def base(self) -> str:
        """The hidden field of the base version."""
        return format_html(
            '<input type="hidden" name="{}" value="{}">', self._base_name, self._base_text()
        )

    def clean(self):
        super().clean()
        if any(self.errors):
            return
        kept = {_ROWS: self.kept_rows()}
        merged = three_way_merge(
            base=self._shown(kept), theirs=kept, mine={_ROWS: self.sent_rows()}
        )
        self.standing_rows = merged.values[_ROWS]
        if conflict := merged.conflicts.get(_ROWS):
            self._asked = True
            raise ValidationError(
                _(
                    "Somebody saved these rows while this page was open: %(theirs)s. "
                    "Put theirs, or save again to keep yours."
                )
                % {"theirs": self.rows_in_words(conflict.theirs) or _("none")}
            )

    _asked = False

    @property
    def _base_name(self) -> str:
        return f"{self.prefix}-base"

    def _base_text(self) -> str:
        sent = self.data.get(self._base_name) if self.is_bound else None
        # Rows drawn again as they were sent keep what they started from, until they are asked
        # about: then the page has said what is kept now.
        if sent is not None and not self._asked:
            return sent
        return signing.dumps({_ROWS: self.kept_rows()}, salt=_SALT, compress=True)

    def _shown(self, kept: dict) -> dict | None:
        text = self.data.get(self._base_name)
        return kept if text is None else base_version(text, salt=_SALT)


class MergingModelRows(forms.BaseModelFormSet):
    """Rows of a model, each a MergingForm, of which somebody else may have removed some.

    A row that is gone and that this page did not change stays gone. One that it changed comes
    back as a new row, asked about once.
    """

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self._stayed_gone, self._back = 0, range(0)
        if self.is_bound:
            self._take_out_removed()

    def clean(self):
        super().clean()
        for form in (self.forms[number] for number in self._back):
            form.add_error(
                form.visible_fields()[0].name,
                _("Somebody removed this row while this page was open. Save again to put it back."),
            )

    @property
    def changed_meanwhile(self) -> list[str]:
        """As of a MergingForm: of all the rows, and those that stay removed."""
        gone = [_("a row that was removed")] if self._stayed_gone else []
        return [label for form in self.forms for label in form.changed_meanwhile] + gone

    def _take_out_removed(self) -> None:
        data = as_lists(self.data)
        total, initial = (
            self._count(data, name) for name in (TOTAL_FORM_COUNT, INITIAL_FORM_COUNT)
        )
        key = self.model._meta.pk.name
        kept = {str(pk) for pk in self.get_queryset().values_list("pk", flat=True)}
        rows = [self._row(data, number) for number in range(total)]
        known = [row for row in rows[:initial] if row.get(key, [""])[-1] in kept]
        removed = [row for row in rows[:initial] if row.get(key, [""])[-1] not in kept]
        if not removed:
            return
        back = [
            {name: sent for name, sent in row.items() if name not in (key, BASE)}
            for row in removed
            if DELETION_FIELD_NAME not in row and self._is_changed(row)
        ]
        self._stayed_gone = len(removed) - len(back)
        self._back = range(len(known), len(known) + len(back))
        for number, row in enumerate(rows):
            for name in row:
                del data[f"{self.add_prefix(number)}-{name}"]
        standing = known + back + rows[initial:]
        for number, row in enumerate(standing):
            for name, sent in row.items():
                data.setlist(f"{self.add_prefix(number)}-{name}", sent)
        data[f"{self.prefix}-{TOTAL_FORM_COUNT}"] = str(len(standing))
        data[f"{self.prefix}-{INITIAL_FORM_COUNT}"] = str(len(known))
        self.data = data

    def _count(self, data: MultiValueDict, name: str) -> int:
        """As the page says, within the limit; what is no number is left to Django to refuse."""
        number = whole_number(data.get(f"{self.prefix}-{name}"))
        return min(number or 0, self.absolute_max)

    def _row(self, data: MultiValueDict, number: int) -> dict[str, list[str]]:
        start = f"{self.add_prefix(number)}-"
        return {
            name.removeprefix(start): data.getlist(name) for name in data if name.startswith(start)
        }

    def _is_changed(self, row: dict[str, list[str]]) -> bool:
        shown = base_version(row[BASE][-1]) if row.get(BASE) else None
        if shown is None:
            return True
        own = (self.model._meta.pk.name, DELETION_FIELD_NAME)
        return any(
            plain(row.get(name, [])) != plain(drawn)
            for name, drawn in shown.items() if name not in own
        )  # fmt: skip
