from django import forms

from stages.floor.forms import OnceForm


class LineForm(OnceForm):
    """To the front of every queue, or back to its turn."""

    first = forms.TypedChoiceField(
        choices=[("1", "first"), ("0", "its turn")], coerce=lambda text: text == "1"
    )
