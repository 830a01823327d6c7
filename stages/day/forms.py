"""Which day, whose day, and what is answered about a board left in hand."""

from datetime import date, datetime, timedelta

from django import forms
from django.utils import timezone

from orders.accounts.models import Role, User
from orders.dates import DateField

HOURS, TIME, NOW, STILL = "hours", "time", "now", "still"


class DayForm(forms.Form):
    """The day shown; a manager may look at anybody's who works in the bays."""

    day = DateField(required=False)
    who = forms.ModelChoiceField(
        User.objects.filter(is_active=True).exclude(role=Role.COUNTER).order_by("name"),
        required=False,
        empty_label=None,
    )

    def __init__(self, *args, today: date, **kwargs):
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_day(self) -> date:
        return min(self.cleaned_data["day"] or self.today, self.today)


class StoppedForm(forms.Form):
    """When they stopped. `since` is the hold that was asked about, so an old page answers none."""

    ref = forms.UUIDField()
    since = forms.DateTimeField(input_formats=["%Y-%m-%dT%H:%M:%S.%f%z", "%Y-%m-%dT%H:%M:%S%z"])
    stopped = forms.ChoiceField(choices=[(one, one) for one in (HOURS, TIME, NOW, STILL)])
    time = forms.DateTimeField(required=False, input_formats=["%Y-%m-%dT%H:%M"])

    def __init__(self, *args, now: datetime, **kwargs):
        super().__init__(*args, **kwargs)
        self.now = now

    def clean(self):
        data = self.cleaned_data
        if data.get("stopped") != TIME or "since" not in data:
            return data
        time = data.get("time")
        if time is None:
            self.add_error("time", "Say on which day and at what time.")
        elif not data["since"] - timedelta(minutes=1) < time <= self.now:
            since = timezone.localtime(data["since"])
            self.add_error("time", f"It lies between {since:%d.%m. %H:%M} and now.")
        return data
