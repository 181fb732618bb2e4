"""Forms that keep something: arrangements, oils, services."""

import datetime as dt
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from advisory.common.errors import Refused
from advisory.common.fields import QuantityField
from advisory.common.quantities import (
    DENSITY,
    KINEMATIC_VISCOSITY,
    LENGTH,
    MASS,
    TEMPERATURE,
    VOLUME,
    VOLUME_PER_TIME,
    QuantityError,
    read_number,
    unit_for,
)
from advisory.lubrication.actions import (
    add_lubricant,
    record_oil_service,
    set_oil_arrangement,
)
from advisory.lubrication.enums import Feed, Filtration, OilFamily, ServiceKind
from advisory.lubrication.models import Lubricant, OilArrangement, OilService
from advisory.lubrication.queries import lubricants_for, oil_of
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.enums import SmallLengthUnit, VolumeUnit
from advisory.people.forms import RefusableForm
from advisory.people.models import Organisation, Person
from advisory.people.preferences import preferences_of
from advisory.people.rules import Permission
from advisory.register.fields import PastDateField, ShownField
from advisory.register.forms.answered import AnsweredForm
from advisory.register.models import Unit


class ArrangementForm(RefusableForm):
    """How a unit is oiled, from a day on. Every field may be left empty."""

    from_date = PastDateField(label=_("So it is since"))
    feed = forms.ChoiceField(label=_("The oil comes"), choices=Feed.choices)
    sump_volume = QuantityField(label=_("It holds"), dimension=VOLUME, unit="litre", required=False)
    level_datum = forms.CharField(
        label=_("Level is taken at"),
        required=False,
        max_length=200,
        help_text=_("Where the level is read, and how: which mark, car level, cold or warm."),
    )
    lubricant = forms.ModelChoiceField(
        label=_("Oil that is in it"),
        queryset=Lubricant.objects.none(),
        required=False,
        empty_label=_("Not known"),
    )
    sump_temperature = QuantityField(
        label=_("Temperature of the oil on a warm run"),
        dimension=TEMPERATURE,
        unit="degC",
        required=False,
    )
    filtration = forms.ChoiceField(label=_("Filter"), choices=Filtration.choices)
    beta_ratio = forms.CharField(
        label=_("Beta ratio"),
        required=False,
        max_length=20,
        help_text=_("From the data sheet of the element: beta 10 lets one particle in ten pass."),
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    filter_flow = QuantityField(
        label=_("Flow through it"), dimension=VOLUME_PER_TIME, unit="litre/minute", required=False
    )
    dirt_capacity = QuantityField(
        label=_("Dirt that it takes"), dimension=MASS, unit="g", required=False
    )
    breather_filtered = forms.BooleanField(label=_("It breathes through a filter"), required=False)
    feed_pipe_bore = QuantityField(
        label=_("Bore of the external pipe"), dimension=LENGTH, unit="mm", required=False
    )
    feed_pipe_length = QuantityField(
        label=_("Its length"), dimension=LENGTH, unit="mm", required=False
    )

    FIGURES = (
        "sump_volume",
        "sump_temperature",
        "filter_flow",
        "dirt_capacity",
        "feed_pipe_bore",
        "feed_pipe_length",
    )

    def __init__(
        self, *args: Any, unit: Unit, by: Person, current: OilArrangement | None, **kwargs: Any
    ) -> None:
        today = today_of(by)
        oil = oil_of(unit)
        initial: dict[str, Any] = {
            "from_date": today,
            "feed": Feed.UNKNOWN,
            "filtration": Filtration.UNKNOWN,
            "sump_volume": oil.sump_volume,
        }
        if current is not None:
            kept = (*self.FIGURES, "feed", "filtration", "level_datum", "breather_filtered")
            initial |= {name: getattr(current, name) for name in kept}
            if current.beta_ratio is not None:
                initial["beta_ratio"] = f"{current.beta_ratio:g}"
        initial["lubricant"] = None if oil.lubricant is None else oil.lubricant.pk
        super().__init__(*args, **kwargs | {"initial": initial})
        self.unit, self.by = unit, by
        prefs = preferences_of(by)
        inches = by.small_length_unit == SmallLengthUnit.THOU
        pints = by.volume_unit == VolumeUnit.PINT
        units = {
            "sump_volume": unit_for("volume", prefs)[0],
            "sump_temperature": unit_for("temperature", prefs)[0],
            "filter_flow": "imperial_pint/minute" if pints else "litre/minute",
            "feed_pipe_bore": "inch" if inches else "mm",
            "feed_pipe_length": "inch" if inches else "mm",
        }
        for name, unit_name in units.items():
            field = self.fields[name]
            assert isinstance(field, QuantityField)
            field.unit = unit_name
        lubricant = self.fields["lubricant"]
        assert isinstance(lubricant, forms.ModelChoiceField)
        lubricant.queryset = lubricants_for(by, unit, today)

    def clean_beta_ratio(self) -> float | None:
        """Read the ratio."""
        text = self.cleaned_data["beta_ratio"]
        if not text:
            return None
        try:
            ratio = read_number(text)
        except QuantityError as error:
            raise forms.ValidationError(error.message) from error
        if not ratio >= 1:
            raise forms.ValidationError(_("A beta ratio is 1 or more: 1 holds nothing back."))
        return ratio

    def save(self) -> OilArrangement | None:
        """Set it; None where it was refused, with the reason at its field."""
        try:
            return set_oil_arrangement(unit=self.unit, by=self.by, **self.cleaned_data)
        except Refused as refused:
            self.refuse(refused)
        return None


class LubricantForm(AnsweredForm):
    """An oil from its data sheet."""

    name = forms.CharField(
        label=_("What stands on the can"), max_length=120, help_text=_("Name and grade.")
    )
    family = forms.ChoiceField(label=_("Kind"), choices=OilFamily.choices)
    kinematic_viscosity_40 = QuantityField(
        label=_("Viscosity at 40 °C"),
        dimension=KINEMATIC_VISCOSITY,
        unit="mm2/s",
        help_text=_("KV40 on the data sheet; cSt is the same as mm²/s."),
    )
    kinematic_viscosity_100 = QuantityField(
        label=_("Viscosity at 100 °C"),
        dimension=KINEMATIC_VISCOSITY,
        unit="mm2/s",
        help_text=_("KV100 on the data sheet."),
    )
    density_15 = QuantityField(
        label=_("Density at 15 °C"), dimension=DENSITY, unit="kg/m3", required=False
    )
    detergent = forms.BooleanField(label=_("Detergent: it keeps dirt afloat"), required=False)
    multigrade = forms.BooleanField(label=_("Multigrade, such as 20W-50"), required=False)
    extreme_pressure = forms.BooleanField(label=_("Extreme-pressure additive"), required=False)
    active_sulphur = forms.BooleanField(
        label=_("Active sulphur, or the data sheet doesn't say"), required=False
    )
    whose = forms.ChoiceField(label=_("Who may choose it"))
    about = ("kinematic_viscosity_40", "kinematic_viscosity_100")

    def __init__(self, *args: Any, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, by=by, **kwargs)
        self.by = by
        self.workshops: dict[str, Organisation] = {
            str(workshop.pk): workshop
            for workshop in rules.organisations_where(by, Permission.REGISTER_UNIT)
        }
        whose = self.fields["whose"]
        assert isinstance(whose, forms.ChoiceField)
        whose.choices = [
            *((pk, str(workshop)) for pk, workshop in self.workshops.items()),
            ("", _("I alone")),
        ]
        whose.required = False
        if not self.workshops:
            del self.fields["whose"]

    def save(self) -> Lubricant | None:
        """Add it; None where it was refused, with the reason at its field."""
        data = {k: v for k, v in self.cleaned_data.items() if k not in {"answer", "asked"}}
        workshop = self.workshops.get(data.pop("whose", ""))
        try:
            return add_lubricant(by=self.by, workshop=workshop, confirm=self.confirms, **data)
        except Refused as refused:
            self.refuse(refused)
        return None


class OilWorkForm(AnsweredForm):
    """What every note of work done says: day, number, what went in, what was seen."""

    date = PastDateField(label=_("Done on"))
    shown = ShownField(
        label=_("Odometer, as it stands there"),
        required=False,
        max_length=20,
    )
    lubricant = forms.ModelChoiceField(
        label=_("Oil that went in"),
        queryset=Lubricant.objects.none(),
        required=False,
        empty_label=_("I can't say"),
    )
    volume = QuantityField(
        label=_("How much went in"), dimension=VOLUME, unit="litre", required=False
    )
    note = forms.CharField(
        label=_("What you saw"),
        required=False,
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    about = ("date", "shown", "volume")

    def offer_oils(self, unit: Unit, by: Person, today: dt.date) -> None:
        """Offer the oils that may go into the unit, and the amount in the person's unit."""
        lubricant, volume = self.fields["lubricant"], self.fields["volume"]
        assert isinstance(lubricant, forms.ModelChoiceField)
        assert isinstance(volume, QuantityField)
        lubricant.queryset = lubricants_for(by, unit, today)
        volume.unit = unit_for("volume", preferences_of(by))[0]


class ServiceForm(OilWorkForm):
    """What was done with the oil on a day."""

    kind = forms.ChoiceField(label=_("What was done"), choices=ServiceKind.choices)
    field_order = ("kind", "date", "shown", "lubricant", "volume", "note")

    def __init__(self, *args: Any, unit: Unit, by: Person, **kwargs: Any) -> None:
        today = today_of(by)
        oil = oil_of(unit)
        initial = {
            "kind": ServiceKind.TOP_UP,
            "date": today,
            "lubricant": None if oil.lubricant is None else oil.lubricant.pk,
        }
        super().__init__(*args, by=by, **kwargs | {"initial": initial})
        self.unit, self.by = unit, by
        self.offer_oils(unit, by, today)

    def save(self) -> OilService | None:
        """Write it down; None where it was refused, with the reason at its field."""
        data = {k: v for k, v in self.cleaned_data.items() if k not in {"answer", "asked"}}
        try:
            return record_oil_service(
                unit=self.unit,
                by=self.by,
                confirm=self.confirms,
                went_round=self.went_round,
                **data,
            )
        except Refused as refused:
            self.refuse(refused)
        return None
