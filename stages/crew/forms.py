from django import forms
from django.contrib.auth.password_validation import validate_password

from orders.accounts.models import User
from stages.crew.hours import HoursError, format_day, parse_day
from stages.routes.models import Stage

DAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]


class DayField(forms.CharField):
    def to_python(self, value):
        try:
            return parse_day(super().to_python(value))
        except HoursError as error:
            raise forms.ValidationError(str(error)) from None

    def prepare_value(self, value):
        return format_day(value) if isinstance(value, list) else value


class PersonForm(forms.ModelForm):
    """One person: who they are, how they sign in, what they can do and when they work."""

    password = forms.CharField(
        required=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="for their own phone or desk; leave empty to keep the one there is",
    )
    new_pin = forms.RegexField(
        r"^\d{4,8}$",
        label="PIN",
        required=False,
        help_text="four to eight digits, for shared tablets; leave empty to keep the one there is",
        error_messages={"invalid": "A PIN is four to eight digits."},
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    skills = forms.ModelMultipleChoiceField(
        Stage.objects.filter(retired_at=None),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="which stages they may take in hand; none chosen means all",
    )
    away_from = forms.DateField(
        required=False, widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )
    away_until = forms.DateField(
        required=False,
        help_text="the last day away; empty while nobody knows",
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
    )

    class Meta:
        model = User
        fields = ["name", "username", "role", "is_active"]
        labels = {"username": "Signs in as", "is_active": "May sign in"}
        help_texts = {"username": "", "is_active": ""}

    def __init__(self, *args, member=None, **kwargs):
        super().__init__(*args, **kwargs)
        for number, name in enumerate(DAYS):
            week = member.week if member else []
            self.fields[f"day_{number}"] = DayField(
                label=name,
                required=False,
                initial=week[number] if number < len(week) else [],
            )
        if member:
            self.fields["skills"].initial = member.skills.all()
            self.fields["away_from"].initial = member.away_from
            self.fields["away_until"].initial = member.away_until
        if not self.instance.pk:
            self.fields["password"].required = True
            self.fields["password"].help_text = "for their own phone or desk"

    def day_fields(self):
        return [self[f"day_{number}"] for number in range(7)]

    def clean_password(self):
        if password := self.cleaned_data["password"]:
            validate_password(password, self.instance)
        return password

    def clean(self):
        away_from, until = self.cleaned_data.get("away_from"), self.cleaned_data.get("away_until")
        if until and away_from and until < away_from:
            self.add_error("away_until", "They cannot be back before they leave.")
        return self.cleaned_data

    def week(self) -> list[list[list[int]]]:
        return [self.cleaned_data[f"day_{number}"] for number in range(7)]
