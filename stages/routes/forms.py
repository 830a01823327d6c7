from django import forms

from orders.formsets import AT_MOST
from stages.crew.week import WithWeek
from stages.routes.models import Bay, Route, RouteStep, Stage


class RoomForm(forms.ModelForm):
    """For how many boards there is room; left empty, for any number."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ("places", "racks"):
            self.fields[name].required = False

    def clean_places(self):
        return self.cleaned_data["places"] or 0

    def clean_racks(self):
        return self.cleaned_data["racks"] or 0


class StageForm(RoomForm):
    """A stage with the bay it is done in; a new bay is made by writing its name."""

    bay_name = forms.CharField(label="Bay", max_length=40)

    class Meta:
        model = Stage
        fields = [
            *("name", "minutes", "rest_hours", "rest_celsius", "rest_shortens"),
            *("inspects", "one_at_a_time", "order"),
            *("places", "racks", "session"),
        ]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["order"].required = False
        self.fields["rest_celsius"].required = False
        if self.instance.pk:
            self.fields["bay_name"].initial = self.instance.bay.name

    def clean_order(self):
        return self.cleaned_data["order"] or self.instance.order

    def clean_rest_celsius(self):
        return self.cleaned_data["rest_celsius"] or self.instance.rest_celsius

    def save(self, commit=True):
        name = self.cleaned_data["bay_name"].strip()
        bay = Bay.objects.filter(name__iexact=name).first()
        self.instance.bay = bay or Bay.objects.create(name=name, order=Bay.objects.count() + 1)
        return super().save(commit)


StageFormSet = forms.modelformset_factory(Stage, form=StageForm, extra=1, **AT_MOST)


class BayForm(WithWeek, RoomForm):
    """A bay's room, and when work can be done there: all left empty, whenever somebody works."""

    class Meta:
        model = Bay
        fields = ["places", "racks"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.ask_week(self.instance.week)


class RouteForm(forms.ModelForm):
    class Meta:
        model = Route
        fields = ["name"]


class RouteSteps(forms.BaseFormSet):
    """The steps in the order of their numbers; a step whose stage is left empty is dropped."""

    def clean(self):
        if any(self.errors):
            return
        if not self.chosen():
            raise forms.ValidationError("A route needs at least one step.")
        if not any(stage.inspects for stage, _ in self.chosen()):
            raise forms.ValidationError(
                "No step of this route passes boards. Add QC, so that a board can become ready."
            )

    def chosen(self) -> list[tuple[Stage, str]]:
        rows = [
            (form.cleaned_data.get("ORDER") or 999, number, form.cleaned_data)
            for number, form in enumerate(self.forms)
            if form.cleaned_data.get("stage") and not form.cleaned_data.get("DELETE")
        ]
        return [(row["stage"], row["when"]) for _, _, row in sorted(rows, key=lambda r: r[:2])]


class StepRow(forms.Form):
    stage = forms.ModelChoiceField(Stage.objects.filter(retired_at=None), required=False)
    when = forms.ChoiceField(
        label="For", choices=RouteStep._meta.get_field("when").choices, required=False
    )


RouteStepFormSet = forms.formset_factory(
    StepRow, formset=RouteSteps, extra=2, can_order=True, can_delete=True, **AT_MOST
)
