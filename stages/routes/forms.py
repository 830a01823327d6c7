from django import forms
from django.utils.text import get_text_list
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from orders.formsets import AT_MOST
from orders.merging.forms import MergingForm
from orders.merging.rows import MergingRows
from stages.crew.week import WithWeek
from stages.routes.models import Bay, Route, RouteStep, Stage
from stages.routes.queries import place_of


class RoomForm(MergingForm, forms.ModelForm):
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

    bay_name = forms.CharField(
        label=gettext_lazy("Bay"),
        max_length=40,
        help_text=gettext_lazy("another name than those there are makes a new bay"),
        widget=forms.TextInput(attrs={"list": "bays", "autocomplete": "off"}),
    )
    place = forms.IntegerField(
        label=gettext_lazy("Place in the list"),
        min_value=1,
        max_value=200,
        required=False,
        help_text=gettext_lazy("the others move along; left empty, it comes last"),
    )
    retired = forms.BooleanField(label=gettext_lazy("Not used any more"), required=False)

    class Meta:
        model = Stage
        fields = [
            *("name", "minutes", "rest_hours", "rest_celsius", "rest_shortens"),
            *("inspects", "one_at_a_time", "places", "racks", "session"),
        ]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["rest_celsius"].required = False
        if not self.instance.pk:
            del self.fields["retired"]
            return
        self.fields["bay_name"].initial = self.instance.bay.name
        self.fields["place"].initial = place_of(self.instance)
        self.fields["retired"].initial = self.instance.retired_at is not None

    def clean_retired(self):
        """A stage that a route in use names cannot be retired: boards would be sent to it."""
        retired = self.cleaned_data["retired"]
        if retired and self.instance.retired_at is None:
            used = Route.objects.filter(retired_at=None, steps__stage=self.instance).distinct()
            if names := list(used.values_list("name", flat=True)):
                raise forms.ValidationError(
                    _("A step of %(routes)s: take it out there first.")
                    % {"routes": get_text_list(names, _("and"))}
                )
        return retired

    def clean_rest_celsius(self):
        return self.cleaned_data["rest_celsius"] or self.instance.rest_celsius


class BayForm(WithWeek, RoomForm):
    """A bay's name, its room, and when work can be done there: all left empty, whenever somebody
    works."""

    class Meta:
        model = Bay
        fields = ["name", "places", "racks"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.ask_week(self.instance.week)


class RouteForm(MergingForm, forms.ModelForm):
    class Meta:
        model = Route
        fields = ["name"]


class RouteSteps(MergingRows, forms.BaseFormSet):
    """The steps in the order of their numbers; a step whose stage is left empty is dropped."""

    def clean(self):
        super().clean()
        if any(self.errors):
            return
        if not self.chosen():
            raise forms.ValidationError("A route needs at least one step.")
        if not any(stage.inspects for stage, _ in self.chosen()):
            raise forms.ValidationError(
                "No step of this route passes boards. Add QC, so that a board can become ready."
            )

    def chosen(self) -> list[tuple[Stage, str]]:
        stages = Stage.objects.in_bulk([pk for pk, _ in self.standing_rows])
        return [(stages[pk], when) for pk, when in self.standing_rows]

    def kept_rows(self) -> list[list]:
        return [[row["stage"], row["when"]] for row in self.initial]

    def rows_in_words(self, rows: list[list]) -> str:
        stages = Stage.objects.in_bulk([pk for pk, _ in rows])
        return ", ".join(str(stages[pk]) for pk, _ in rows)

    def sent_rows(self) -> list[list]:
        rows = [
            (form.cleaned_data.get("ORDER") or 999, number, form.cleaned_data)
            for number, form in enumerate(self.forms)
            if form.cleaned_data.get("stage") and not form.cleaned_data.get("DELETE")
        ]
        chosen = [row for _, _, row in sorted(rows, key=lambda r: r[:2])]
        return [[row["stage"].pk, row["when"]] for row in chosen]


class StepRow(forms.Form):
    stage = forms.ModelChoiceField(Stage.objects.filter(retired_at=None), required=False)
    when = forms.ChoiceField(
        label="For", choices=RouteStep._meta.get_field("when").choices, required=False
    )


RouteStepFormSet = forms.formset_factory(
    StepRow, formset=RouteSteps, extra=2, can_order=True, can_delete=True, **AT_MOST
)
