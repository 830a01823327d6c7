"""Forms that edit what is kept: each save is a change against what its page showed."""

from django import forms
from django.core import signing
from django.core.exceptions import ValidationError
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _

from orders.merging.merge import Conflict, Merged, three_way_merge

BASE = "base"
_SALT = "base version"


def base_version(text: str, *, salt: str = _SALT) -> dict | None:
    """What a form's page showed in its fields, as it was signed; None where that cannot be read."""
    try:
        return signing.loads(text, salt=salt)
    except signing.BadSignature:
        return None


class BaseVersionField(forms.CharField):
    """The signed base version of a form, hidden in it. It is no change by itself."""

    def __init__(self, **kwargs):
        super().__init__(required=False, widget=forms.HiddenInput, **kwargs)

    def has_changed(self, initial, data):
        return False


class MergingForm(forms.BaseForm):
    """A form whose page carries its base version: what stood in the fields when it was drawn.

    Bound, it is given what is kept now as its initial values, as when it was drawn, and merges
    before it cleans: fields that the page did not change have what is kept now, and a field that
    both changed is refused once, with both values, and may then be saved again. The view reads
    what is kept and writes in one transaction: see orders.merging.transactions.

    A form sent without any base version counts as drawn just now. One that cannot be read
    stands for an unknown base: whatever differs is asked about.
    """

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields[BASE] = BaseVersionField(initial=self._seal)
        self.merged: Merged[list[str]] | None = None

    def full_clean(self):
        if self.is_bound and self.merged is None:
            self._merge()
        super().full_clean()
        if not self.is_bound:
            return
        self.cleaned_data.pop(BASE, None)
        for name, conflict in self.merged.conflicts.items():
            self.add_error(name, self._asked(name, conflict))

    @property
    def changed_meanwhile(self) -> list[str]:
        """Labels of the fields that others changed while the page was open, and that stay so."""
        return [str(self[name].label) for name in self.merged.taken] if self.merged else []

    def _merge(self) -> None:
        data = as_lists(self.data)
        # A field that the page did not have says nothing about what is kept.
        sent = [
            name
            for name, field in self.fields.items()
            if name != BASE
            and not field.widget.value_omitted_from_data(data, self.files, self.add_prefix(name))
        ]
        theirs = {name: self._as_drawn(name) for name in sent}
        mine = {name: self._as_sent(name, data) for name in sent}
        self.merged = three_way_merge(
            base=self._base(theirs), theirs=theirs, mine=mine, same=self._same
        )
        for name in self.merged.taken:
            key = self.add_prefix(name)
            data.pop(key, None)
            if self.merged.values[name]:
                data.setlist(key, self.merged.values[name])
        # The page that is drawn next shows what is kept now, in its fields or beside them.
        data[self.add_prefix(BASE)] = self._seal()
        self.data = data

    def _base(self, theirs: dict[str, list[str]]) -> dict[str, list[str]] | None:
        text = self.data.get(self.add_prefix(BASE))
        return theirs if text is None else base_version(text)

    def _seal(self) -> str:
        drawn = {name: self._as_drawn(name) for name in self.fields if name != BASE}
        return signing.dumps(drawn, salt=_SALT, compress=True)

    def _as_drawn(self, name: str) -> list[str]:
        """What a browser sends for the field as it is drawn from what is kept."""
        field, initial = self.fields[name], self[name].initial
        value, widget = field.prepare_value(initial), field.widget
        if isinstance(widget, forms.CheckboxInput):
            return ["on"] if widget.check_test(value) else []
        value = widget.format_value(value)
        if isinstance(value, list | tuple):
            return [str(one) for one in value]
        return ["" if value is None else str(value)]

    def _as_sent(self, name: str, data: MultiValueDict) -> list[str]:
        key, widget = self.add_prefix(name), self.fields[name].widget
        if isinstance(widget, forms.CheckboxInput):
            return ["on"] if widget.value_from_datadict(data, self.files, key) else []
        return [str(one) for one in data.getlist(key)]

    def _same(self, name: str, one: list[str], other: list[str]) -> bool:
        """Whether two texts of a field mean the same: 6-2 and 6'2", 850 and 850.00."""
        field = self.fields[name]
        if isinstance(field, forms.MultipleChoiceField | forms.ModelMultipleChoiceField):
            return sorted(one) == sorted(other)
        one, other = plain(one), plain(other)
        if one == other:
            return True
        if isinstance(field, forms.ChoiceField | forms.ModelChoiceField | forms.BooleanField):
            return False
        try:
            return field.clean(one) == field.clean(other)
        except ValidationError:
            return False

    def _asked(self, name: str, conflict: Conflict[list[str]]) -> str:
        said = {
            "theirs": self._words(name, conflict.theirs),
            "mine": self._words(name, conflict.mine),
        }
        return _(
            "Somebody saved “%(theirs)s” here while this page was open; yours is “%(mine)s”. "
            "Put theirs, or save again to keep yours."
        ) % said

    def _words(self, name: str, sent: list[str]) -> str:
        """What was sent for a field, as its page shows it."""
        field = self.fields[name]
        if isinstance(field, forms.BooleanField):
            return _("ticked") if sent else _("not ticked")
        if hasattr(field, "choices"):
            labels = {str(key): str(label) for key, label in field.choices}
            sent = [labels.get(one, one) for one in sent]
        return ", ".join(text for text in sent if text.strip()) or _("nothing")


def as_lists(data) -> MultiValueDict:
    """A copy that may be changed, with a list of texts for each name."""
    if isinstance(data, MultiValueDict):
        return data.copy()
    return MultiValueDict(
        {key: value if isinstance(value, list) else [value] for key, value in data.items()}
    )


def plain(sent: list[str]) -> str:
    """The text of a field of one value, however its lines end."""
    return "\n".join(" ".join(line.split()) for line in "".join(sent[:1]).strip().splitlines())
