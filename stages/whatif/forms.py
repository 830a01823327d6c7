"""What may be asked, all by GET: an address is a scenario."""

from datetime import date, timedelta

from django import forms

from orders.dates import DateField
from stages.crew.hours import format_week
from stages.crew.week import DayField
from stages.routes.models import Stage
from stages.whatif.ground import Ground

EVERYONE = "all"
USUAL_AWAY = timedelta(days=13)  # two weeks, the first day in


def _number(label: str, low: float, high: float, *, places: int = 0, **more):
    kind = forms.DecimalField if places else forms.IntegerField
    given = {"decimal_places": places} if places else {}
    return kind(label=label, min_value=low, max_value=high, required=False, **given, **more)


def _pairs(label: str, gone: str) -> forms.MultipleChoiceField:
    """Person and stage; what was sent to somebody else may be old by now."""
    return forms.MultipleChoiceField(
        label=label, required=False, widget=forms.CheckboxSelectMultiple,
        error_messages={"invalid_choice": gone},
    )  # fmt: skip


class WhatIfForm(forms.Form):
    """Every field may be left out; nothing filled in is the floor as it is."""

    away_who = forms.ChoiceField(label="Who is away", required=False)
    away_from = DateField(label="From", required=False, help_text="empty: from today")
    away_until = DateField(
        label="Until, the last day", required=False, help_text="empty: two weeks"
    )
    hands_like = forms.ChoiceField(
        label="Another pair of hands, with the hours of", required=False
    )
    hands_stages = forms.MultipleChoiceField(
        label="They can do", required=False, widget=forms.CheckboxSelectMultiple
    )
    hours_who = forms.ChoiceField(label="Whose hours", required=False)
    hours_week = _number(
        "Hours a week more", -40, 40, places=1, help_text="-4 is four fewer; spread over their days"
    )
    saturday = DayField(label="Saturdays", required=False, help_text="like 8:00-12:00")
    bay = forms.ChoiceField(label="Which bay is open longer", required=False)
    bay_day = _number("Hours a day longer", -12, 12, places=1, help_text="-1 is an hour less")
    teach = _pairs("Also learns", "Somebody can do this by now, or is gone. Tick again.")
    stop = _pairs("Does no more", "Somebody does this no more by now, or is gone. Tick again.")
    cap = _number("Boards on the floor at most", 0, 5000, help_text="0: no limit")
    orders = _number("Orders, %", -90, 100, help_text="20 is a fifth more, -20 a fifth fewer")

    def __init__(self, data, *, ground: Ground):
        super().__init__(data)
        self.ground = ground
        people = [(str(member.pk), str(member)) for member in ground.people]
        self.ours = [s for s in ground.stages if not s.bay.outside and s.retired_at is None]
        self.fields["away_who"].choices = self.fields["hands_like"].choices = [
            ("", "nobody"), *people
        ]  # fmt: skip
        self.fields["hours_who"].choices = [("", "nobody's"), (EVERYONE, "everyone"), *people]
        self.bays = list(dict.fromkeys(stage.bay for stage in self.ours if stage.bay.week))
        self._ask_of_bays()
        self.fields["hands_stages"].choices = [(str(s.pk), s.name) for s in self.ours]
        self.fields["teach"].choices = list(self._each(able=False))
        self.fields["stop"].choices = list(self._each(able=True))
        for stage in self.ours:
            self._ask_of(stage)

    def _ask_of_bays(self) -> None:
        now = [f"{bay}: {format_week(bay.week)}" for bay in self.bays]
        named = [(str(bay.pk), bay.name) for bay in self.bays]
        self.fields["bay"].choices = [("", "none"), *named]
        self.fields["bay"].help_text = f"Now: {'. '.join(now)}." if now else ""

    @property
    def bay_fields(self) -> list:
        """None where every bay is open whenever somebody works."""
        asked = self.bays or "bay" in self.errors
        return [self["bay"], self["bay_day"]] if asked else []

    def _each(self, *, able: bool):
        """Each person with each stage they can do, or cannot."""
        for hand, member in enumerate(self.ground.people):
            for stage in self.ours:
                if (self.ground.stages.index(stage) in self.ground.floor.crew[hand].pace) == able:
                    yield f"{member.pk}-{stage.pk}", f"{member}: {stage.name}"

    def _ask_of(self, stage: Stage) -> None:
        self.fields[f"rest_{stage.pk}"] = _number("Rest, hours", 0, 720, places=2)
        self.fields[f"session_{stage.pk}"] = _number("Boards in one go", 1, 12)
        self.fields[f"speed_{stage.pk}"] = _number("Takes longer, %", -60, 200)
        self.fields[f"rest_{stage.pk}"].widget.attrs["placeholder"] = f"{float(stage.rest_hours):g}"

    @property
    def of_stages(self) -> list[tuple[Stage, list]]:
        return [
            (stage, [self[f"{what}_{stage.pk}"] for what in ("rest", "session", "speed")])
            for stage in self.ours
        ]

    @property
    def of_people(self) -> list[tuple]:
        """Each person with the boxes of what they cannot do yet, and of what they can."""
        boxes = {name: [box.data for box in self[name]] for name in ("teach", "stop")}

        def own(name: str, member) -> list[dict]:
            return [
                {**box, "name": name, "words": box["label"].removeprefix(f"{member}: ")}
                for box in boxes[name] if box["value"].startswith(f"{member.pk}-")
            ]

        people = self.ground.people
        return [(member, own("teach", member), own("stop", member)) for member in people]

    @property
    def skill_errors(self) -> list:
        return [self.errors[name] for name in ("teach", "stop") if name in self.errors]

    def used(self, *names: str) -> bool:
        """Whether any field whose name begins so is filled in or wrong: its group stands open."""
        filled = {*self.data, *self.errors}
        return any(field.startswith(name) for field in filled for name in names)

    @property
    def open_groups(self) -> dict[str, bool]:
        return {
            "crew": self.used("away", "hands"), "hours": self.used("hours", "saturday", "bay"),
            "skills": self.used("teach", "stop"), "floor": self.used("cap", "orders"),
            "stages": self.used("rest", "session", "speed"),
        }  # fmt: skip

    def clean(self):
        data = super().clean()
        if data.get("away_who"):
            data["away_from"] = data.get("away_from") or self.ground.today
            data["away_until"] = data.get("away_until") or data["away_from"] + USUAL_AWAY
            self._in_order(data["away_from"], data["away_until"])
        elif data.get("away_from") or data.get("away_until"):
            self.add_error("away_who", "Choose who is away.")
        if data.get("hands_stages") and not data.get("hands_like"):
            self.add_error("hands_like", "Choose whose hours they would work.")
        if data.get("hands_like") and not data.get("hands_stages"):
            self.add_error("hands_stages", "Tick what they can do.")
        changed = data.get("hours_week") or data.get("saturday")
        if changed and not data.get("hours_who") and "hours_who" not in self.errors:
            self.add_error("hours_who", "Choose whose hours change.")
        if data.get("hours_who") and not changed and not self.errors:
            self.add_error("hours_week", "Say how many hours more, or what they work on Saturdays.")
        if data.get("bay") and not data.get("bay_day") and "bay_day" not in self.errors:
            self.add_error("bay_day", "Say how many hours a day longer.")
        if data.get("bay_day") and not data.get("bay") and "bay" not in self.errors:
            self.add_error("bay", "Choose which bay is open longer.")
        return data

    def _in_order(self, first: date, last: date) -> None:
        if last < first:
            self.add_error("away_until", "The last day is before the first.")
        elif last < self.ground.today:
            self.add_error("away_until", "This day is over. Choose today or later.")
