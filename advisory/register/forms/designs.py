"""Forms for designs: the head, and the workshop's instructions."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from advisory.common.fields import QuantityField
from advisory.common.quantities import LENGTH, ROTATION, TIME, VOLUME, unit_for
from advisory.people.forms import RefusableForm
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.register.adapters import oil_choices
from advisory.register.enums import (
    DesignedFeed,
    DesignedFiltration,
    Season,
    UnitKind,
    WorkKind,
)
from advisory.register.models import Design, MaintenanceInstruction

# What a finding or a bulletin brings has no interval that a workshop could set.
BROUGHT = {WorkKind.PUT_RIGHT, WorkKind.BULLETIN}
IN_INSTRUCTIONS = [choice for choice in WorkKind.choices if choice[0] not in BROUGHT]
TURN = 6.283185307179586  # radians


class DesignForm(RefusableForm):
    """A kind of unit, but for its positions."""

    kind = forms.ChoiceField(label=_("It is a"), choices=UnitKind.choices)
    name = forms.CharField(
        label=_("Name"),
        max_length=120,
        error_messages={"required": _("Give the design a name that your fitters know it by.")},
    )
    description = forms.CharField(
        label=_("Description"), required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    speed_ratio = forms.FloatField(
        label=_("Turns a turn of the engine"),
        initial=1,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    engine_speed = QuantityField(
        label=_("Usual speed of the engine"), dimension=ROTATION, unit="rpm", required=False
    )
    oil_feed = forms.ChoiceField(
        label=_("Oil comes"), choices=[("", _("Not known")), *DesignedFeed.choices], required=False
    )
    oil_filtration = forms.ChoiceField(
        label=_("Filter"),
        choices=[("", _("Not known")), *DesignedFiltration.choices],
        required=False,
    )
    sump_volume = QuantityField(label=_("It holds"), dimension=VOLUME, unit="litre", required=False)
    lubricant_code = forms.ChoiceField(label=_("Oil"), required=False)
    level_datum = forms.CharField(
        label=_("Level is read"),
        help_text=_("Where, and how the car stands, such as “lower edge of the sight hole, cold”."),
        max_length=120,
        required=False,
    )
    confirm = forms.BooleanField(
        label=_("Keep it as a further version of that design"), required=False
    )

    def __init__(self, *args: Any, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        volume, oil = self.fields["sump_volume"], self.fields["lubricant_code"]
        assert isinstance(volume, QuantityField)
        assert isinstance(oil, forms.ChoiceField)
        volume.unit = unit_for("volume", preferences_of(by))[0]
        self.volume_unit = volume.unit_words
        oil.choices = [("", _("Not prescribed")), *oil_choices()]
        self.asks = False

    def clean_engine_speed(self) -> float | None:
        """Return turns a second; the field reads radians a second, as SI has it."""
        speed = self.cleaned_data["engine_speed"]
        return speed / TURN if speed is not None else None

    @staticmethod
    def told_by(design: Design) -> dict[str, Any]:
        """Return what a design says, as this form begins with it."""
        names = (
            "kind", "name", "description", "speed_ratio", "oil_feed", "oil_filtration",
            "sump_volume", "lubricant_code", "level_datum",
        )  # fmt: skip
        said = {name: getattr(design, name) for name in names}
        said["speed_ratio"] = f"{design.speed_ratio:g}"
        if design.engine_speed is not None:
            said["engine_speed"] = design.engine_speed * TURN
        return said


class InstructionForm(RefusableForm):
    """What the workshop says of one kind of work."""

    work = forms.ChoiceField(label=_("Work"), choices=IN_INSTRUCTIONS)
    distance = QuantityField(
        label=_("At least every"), dimension=LENGTH, unit="mile", required=False
    )
    hours = QuantityField(
        label=_("At least every, hours run"), dimension=TIME, unit="hour", required=False
    )
    months = forms.IntegerField(
        label=_("At least every, months"),
        required=False,
        min_value=1,
        max_value=240,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    season = forms.ChoiceField(
        label=_("Time of the year"), choices=[("", _("Any")), *Season.choices], required=False
    )
    text = forms.CharField(label=_("How"), required=False, max_length=300)
    needs = forms.CharField(
        label=_("What it needs"),
        help_text=_("Oil, gaskets, tools: what has to be at hand."),
        required=False,
        max_length=300,
    )

    def __init__(self, *args: Any, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        distance = self.fields["distance"]
        assert isinstance(distance, QuantityField)
        distance.unit = by.distance_unit
        self.distance_unit = distance.unit_words

    @staticmethod
    def told_by(row: MaintenanceInstruction) -> dict[str, Any]:
        """Return what an instruction says, as this form begins with it."""
        names = ("work", "distance", "hours", "months", "season", "text", "needs")
        return {name: getattr(row, name) for name in names}
