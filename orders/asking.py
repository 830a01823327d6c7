"""Forms that ask about what is possible but odd, and go on once it is said again on purpose."""

from hashlib import sha256

from django import forms
from django.utils.translation import gettext as _


def key_of(sentences: list[str]) -> str:
    """Short text that stands for just these sentences, so that a yes to them is no yes to others.

    Stays the same from one process to the next.
    """
    return sha256("|".join(sentences).encode()).hexdigest()[:12] if sentences else ""


class AskingForm(forms.BaseForm):
    """Refuses once for `questions`, in the same round as every other refusal; sent again with
    the tick that answers just these, it is valid. Its page includes "asked.html"."""

    said_name = "said"
    asked: list[str] = []

    def questions(self) -> list[str]:
        """Sentences about `cleaned_data`, in which a field in error is missing."""
        return []

    def full_clean(self):
        super().full_clean()
        if not self.is_bound:
            return
        self.asked = self.questions()
        if self.asked and not self.answered:
            self.add_error(None, _("Look at this once more, and tick that it is meant."))

    @property
    def answered(self) -> bool:
        return self.data.get(self.add_prefix(self.said_name)) == self.answer

    @property
    def answer(self) -> str:
        return key_of(self.asked)
