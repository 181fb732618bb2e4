"""Forms for designs: the head, a row a position, and the workshop's instructions."""

from typing import TYPE_CHECKING, Any, cast

from django import forms
from django.utils.translation import gettext_lazy as _

from advisory.common.fields import QuantityField
from advisory.common.quantities import FORCE, LENGTH, ROTATION, VOLUME, unit_for
from advisory.people.enums import SmallLengthUnit
from advisory.people.forms import RefusableForm
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.register.actions import PositionData
from advisory.register.adapters import oil_choices
from advisory.register.enums import BearingMaterial, PositionKind, UnitKind, WorkKind

TURN = 6.283185307179586  # radians
LIMIT_FIELDS = ("as_built_least", "as_built_most", "look_into_above", "wear_limit")
SIZE_FIELDS = ("diameter", "length")


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
    sump_volume = QuantityField(label=_("It holds"), dimension=VOLUME, unit="litre", required=False)
    lubricant_code = forms.ChoiceField(label=_("Oil"), required=False)
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


class PositionForm(forms.Form):
    """One position of a design; a row that is left empty is none."""

    kind = forms.ChoiceField(
        label=_("Kind"), choices=[("", _("—")), *PositionKind.choices], required=False
    )
    name = forms.CharField(label=_("Name"), max_length=80, required=False)
    diameter = QuantityField(label=_("Diameter"), dimension=LENGTH, unit="inch", required=False)
    length = QuantityField(label=_("Length"), dimension=LENGTH, unit="inch", required=False)
    material = forms.ChoiceField(
        label=_("Material"), choices=[("", _("—")), *BearingMaterial.choices], required=False
    )
    load = QuantityField(label=_("Load"), dimension=FORCE, unit="N", required=False)
    as_built_least = QuantityField(
        label=_("As built, least"), dimension=LENGTH, unit="thou", required=False
    )
    as_built_most = QuantityField(
        label=_("As built, most"), dimension=LENGTH, unit="thou", required=False
    )
    look_into_above = QuantityField(
        label=_("Look into above"), dimension=LENGTH, unit="thou", required=False
    )
    wear_limit = QuantityField(label=_("Stop at"), dimension=LENGTH, unit="thou", required=False)
    use_required_attribute = False

    def __init__(self, *args: Any, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_thou = by.small_length_unit == SmallLengthUnit.THOU
        self.limit_unit = by.small_length_unit
        self.size_unit = "inch" if in_thou else "mm"
        for names, unit in ((SIZE_FIELDS, self.size_unit), (LIMIT_FIELDS, self.limit_unit)):
            for name in names:
                field = self.fields[name]
                assert isinstance(field, QuantityField)
                field.unit = unit

    def clean(self) -> dict[str, Any]:
        """Say what is missing of a row that is begun."""
        data = super().clean() or self.cleaned_data
        if self.is_row:
            if not data.get("kind"):
                self.add_error("kind", _("Choose what stands there."))
            if not data.get("name", "").strip():
                self.add_error("name", _("Name the position as you call it at the bench."))
        return data

    @property
    def is_row(self) -> bool:
        """Whether anything was typed into the row."""
        return self.has_changed()

    @property
    def position(self) -> PositionData:
        """What was typed, in SI."""
        return PositionData(**self.cleaned_data)


if TYPE_CHECKING:
    PositionForms = forms.BaseFormSet[PositionForm]
else:
    PositionForms = forms.BaseFormSet  # takes its parameter in the stubs only


class BasePositionFormSet(PositionForms):
    """The rows of a design."""

    @property
    def rows(self) -> list[PositionForm]:
        """The rows that were filled in, in their order."""
        return [form for form in self.forms if form.is_row]


MOST_POSITIONS = 40

# the factory's type knows the base class only
PositionFormSet = cast(
    "type[BasePositionFormSet]",
    forms.formset_factory(
        PositionForm,
        formset=BasePositionFormSet,
        extra=6,
        max_num=MOST_POSITIONS,
        absolute_max=MOST_POSITIONS + 20,
    ),
)


class InstructionForm(RefusableForm):
    """What the workshop says of one kind of work."""

    work = forms.ChoiceField(label=_("Work"), choices=WorkKind.choices)
    distance = QuantityField(
        label=_("At least every"), dimension=LENGTH, unit="mile", required=False
    )
    months = forms.IntegerField(
        label=_("At least every, months"),
        required=False,
        min_value=1,
        max_value=240,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    text = forms.CharField(label=_("How"), required=False, max_length=300)

    def __init__(self, *args: Any, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        distance = self.fields["distance"]
        assert isinstance(distance, QuantityField)
        distance.unit = by.distance_unit
        self.distance_unit = distance.unit_words
