from django import forms
from django.contrib.auth.password_validation import validate_password
from django.db.models import Q

from orders.accounts.models import User
from orders.dates import DateField
from orders.merging.forms import MergingForm, as_lists
from orders.whole_numbers import whole_number
from stages.crew.week import WithWeek
from stages.routes.models import Stage

_DIGITS = 18


class StagesField(forms.ModelMultipleChoiceField):
    """Refuses a key larger than the database can be asked for."""

    def clean(self, value):
        if too_large := [pk for pk in value or () if len(str(pk)) > _DIGITS]:
            message = self.error_messages["invalid_pk_value"]
            raise forms.ValidationError(message, "invalid_pk_value", {"pk": too_large[0][:_DIGITS]})
        return super().clean(value)


class PersonForm(MergingForm, WithWeek, forms.ModelForm):
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
    skills = StagesField(
        Stage.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="which stages they may take in hand; none chosen means all",
    )
    away_from = DateField(required=False)
    away_until = DateField(
        required=False, help_text="the last day away; empty while nobody knows"
    )

    class Meta:
        model = User
        fields = ["name", "username", "role", "is_active"]
        labels = {"username": "Signs in as", "is_active": "May sign in"}
        help_texts = {"username": "", "is_active": ""}

    def __init__(self, *args, member=None, **kwargs):
        super().__init__(*args, **kwargs)
        self.ask_week(member.week if member else [])
        # Retired stages stay among a person's skills: a person left with none may do everything.
        # One retired since the page was drawn is still what was ticked there.
        offered = Q(retired_at=None) | Q(crew=member) if member else Q(retired_at=None)
        if self.is_bound and "skills" in self.data:
            sent = as_lists(self.data).getlist("skills")
            offered |= Q(pk__in=[pk for text in sent if (pk := whole_number(text))])
        self.fields["skills"].queryset = Stage.objects.filter(offered).distinct()
        if member:
            self.fields["skills"].initial = member.skills.all()
            self.fields["away_from"].initial = member.away_from
            self.fields["away_until"].initial = member.away_until
        if not self.instance.pk:
            self.fields["password"].required = True
            self.fields["password"].help_text = "for their own phone or desk"

    def clean_password(self):
        if password := self.cleaned_data["password"]:
            validate_password(password, self.instance)
        return password

    def clean(self):
        away_from, until = self.cleaned_data.get("away_from"), self.cleaned_data.get("away_until")
        if until and away_from and until < away_from:
            self.add_error("away_until", "They cannot be back before they leave.")
        return self.cleaned_data
