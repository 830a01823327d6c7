"""A formset whose rows are one kept value, such as the stations of a blank."""

from django import forms
from django.core import signing
from django.core.exceptions import ValidationError
from django.utils.html import format_html
from django.utils.translation import gettext as _

from orders.merging.merge import three_way_merge

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
        if text is None:
            return kept
        try:
            return signing.loads(text, salt=_SALT)
        except signing.BadSignature:
            return None
