"""Weekly hours in a form: a field a day, Monday first."""

from django import forms

from stages.crew.hours import HoursError, format_day, parse_day

DAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]


class DayField(forms.CharField):
    def to_python(self, value):
        try:
            return parse_day(super().to_python(value))
        except HoursError as error:
            raise forms.ValidationError(str(error)) from None

    def has_changed(self, initial, data):
        # An empty field is cleaned to no spans, and a row of a formset starts with None.
        return super().has_changed(initial or [], data)

    def prepare_value(self, value):
        return format_day(value) if isinstance(value, list) else value


class WithWeek(forms.BaseForm):
    """For a form that asks for a week of hours beside what else it asks; `week` is the one now."""

    def ask_week(self, week: list) -> None:
        for number, name in enumerate(DAYS):
            self.fields[f"day_{number}"] = DayField(
                label=name,
                required=False,
                initial=week[number] if number < len(week) else [],
            )

    def day_fields(self):
        return [self[f"day_{number}"] for number in range(7)]

    def week(self) -> list[list[list[int]]]:
        return [self.cleaned_data[f"day_{number}"] for number in range(7)]
