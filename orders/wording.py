"""What Django's own fields and validators say, in this program's words: what happened and what to
do. Set once for all forms, so that no form has to say them again."""

from django import forms
from django.core import validators
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy

_CHOOSE = _("That is not among the choices any more. Choose again.")
_FIELDS = {
    forms.Field: {"required": _("Fill this in.")},
    forms.ChoiceField: {"invalid_choice": _CHOOSE},
    forms.MultipleChoiceField: {"invalid_choice": _CHOOSE},
    forms.ModelChoiceField: {"invalid_choice": _CHOOSE},
    forms.ModelMultipleChoiceField: {"invalid_choice": _CHOOSE, "invalid_pk_value": _CHOOSE},
    forms.IntegerField: {"invalid": _("Type a whole number, such as 12.")},
    forms.FloatField: {"invalid": _("Type a number, such as 2.5.")},
    forms.DecimalField: {"invalid": _("Type a number, such as 2.5.")},
    forms.DateField: {"invalid": _("That is no day. Choose one, or type it like 2026-05-14.")},
    forms.DateTimeField: {"invalid": _("That is no day and time. Choose both.")},
}
_VALIDATORS = {
    validators.EmailValidator: _("Type an e-mail address such as ase@example.com."),
    validators.MinValueValidator: _("At least %(limit_value)s."),
    validators.MaxValueValidator: _("At most %(limit_value)s."),
    validators.MaxLengthValidator: ngettext_lazy(
        "At most %(limit_value)d letter; this has %(show_value)d.",
        "At most %(limit_value)d letters; this has %(show_value)d.",
        "limit_value",
    ),
}


def say_it_our_way() -> None:
    for field, words in _FIELDS.items():
        field.default_error_messages = {**field.default_error_messages, **words}
    for validator, message in _VALIDATORS.items():
        validator.message = message
    validators.validate_email.message = _VALIDATORS[validators.EmailValidator]
