"""The positions of a design, a row each, in their order along the shaft."""

from dataclasses import fields as fields_of
from typing import TYPE_CHECKING, Any, cast

from django import forms
from django.utils.translation import gettext_lazy as _

from advisory.common.fields import QuantityField
from advisory.common.quantities import FORCE, LENGTH
from advisory.people.enums import SmallLengthUnit
from advisory.people.models import Person
from advisory.register.actions import PositionData
from advisory.register.enums import BearingMaterial, LimitsAs, LipMaterial, PositionKind
from advisory.register.fields import AgainstNominal, SizeField
from advisory.register.models import Position

LIMIT_FIELDS = (
    "as_built_least", "as_built_most", "look_into_above", "wear_limit",
    "form_limit", "run_out_limit", "flatness_limit",
)  # fmt: skip
SIZE_LIMIT_FIELDS = ("bore_least", "bore_most", "journal_least", "journal_most")
SIZE_FIELDS = ("diameter", "length")
MEASURED = (
    ("0x1", _("The clearance itself")),
    ("1x1", _("Bore and journal, in one place")),
    ("1x2", _("Bore and journal, two directions")),
    ("2x1", _("Bore and journal, two planes")),
    ("2x2", _("Bore and journal, two planes and two directions")),
    ("3x2", _("Bore and journal, three planes and two directions")),
)


def _limit(label: Any) -> QuantityField:
    return QuantityField(label=label, dimension=LENGTH, unit="thou", required=False)


def _size(label: Any) -> SizeField:
    return SizeField(label=label, dimension=LENGTH, unit="inch", required=False)


class PositionForm(forms.Form):
    """One position of a design; a row that is left empty is none."""

    kind = forms.ChoiceField(
        label=_("Kind"), choices=[("", _("—")), *PositionKind.choices], required=False
    )
    name = forms.CharField(label=_("Name"), max_length=80, required=False)
    material = forms.ChoiceField(
        label=_("Material"), choices=[("", _("—")), *BearingMaterial.choices], required=False
    )
    seal_material = forms.ChoiceField(
        label=_("Lip of the seal"), choices=[("", _("—")), *LipMaterial.choices], required=False
    )
    diameter = QuantityField(
        label=_("Nominal diameter"), dimension=LENGTH, unit="inch", required=False
    )
    length = QuantityField(label=_("Length"), dimension=LENGTH, unit="inch", required=False)
    load = QuantityField(label=_("Load"), dimension=FORCE, unit="N", required=False)
    surface_roughness = QuantityField(
        label=_("Roughness, both together"), dimension=LENGTH, unit="um", required=False
    )
    speed_ratio = forms.FloatField(
        label=_("Turns a turn of the engine"),
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    limits_as = forms.ChoiceField(
        label=_("Limits are given"),
        choices=LimitsAs.choices,
        initial=LimitsAs.CLEARANCE.value,
        required=False,
    )
    as_built_least = _limit(_("As built, least"))
    as_built_most = _limit(_("As built, most"))
    look_into_above = _limit(_("Look into above"))
    wear_limit = _limit(_("Stop at"))
    form_limit = _limit(_("Ovality and taper, at most"))
    run_out_limit = _limit(_("Run-out, at most"))
    flatness_limit = _limit(_("Flatness, at most"))
    bore_least = _size(_("Bore, least"))
    bore_most = _size(_("Bore, most"))
    journal_least = _size(_("Journal, least"))
    journal_most = _size(_("Journal, most"))
    bore_class = forms.CharField(label=_("Class of the bore"), max_length=6, required=False)
    journal_class = forms.CharField(label=_("Class of the journal"), max_length=6, required=False)
    measured = forms.ChoiceField(
        label=_("The build sheet asks for"), choices=MEASURED, initial="0x1", required=False
    )
    use_required_attribute = False

    def __init__(self, *args: Any, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_thou = by.small_length_unit == SmallLengthUnit.THOU
        self.limit_unit = by.small_length_unit
        self.size_unit = "inch" if in_thou else "mm"
        sizes = (*SIZE_FIELDS, *SIZE_LIMIT_FIELDS)
        for names, unit in ((sizes, self.size_unit), (LIMIT_FIELDS, self.limit_unit)):
            for name in names:
                field = self.fields[name]
                assert isinstance(field, QuantityField)
                field.unit = unit
                if isinstance(field, SizeField):
                    field.small_unit = self.limit_unit

    def clean(self) -> dict[str, Any]:
        """Say what is missing of a row that is begun, and put sizes against nominal together."""
        data = super().clean() or self.cleaned_data
        if not self.is_row:
            return data
        if not data.get("kind"):
            self.add_error("kind", _("Choose what stands there."))
        if not data.get("name", "").strip():
            self.add_error("name", _("Name the position as you call it at the bench."))
        for name in SIZE_LIMIT_FIELDS:
            told = data.get(name)
            if isinstance(told, AgainstNominal):
                if data.get("diameter") is None:
                    self.add_error(name, _("Enter the nominal diameter, or the whole size."))
                else:
                    data[name] = data["diameter"] + told.offset
        return data

    @property
    def is_row(self) -> bool:
        """Whether anything was typed into the row, or chosen but what stood there."""
        return any(
            str(self[name].data or "").strip() not in ("", str(field.initial or ""))
            for name, field in self.fields.items()
        )

    @property
    def shows_other_ways(self) -> bool:
        """Whether the limits are given as sizes or classes, so that those fields stand open."""
        return str(self["limits_as"].value() or "") not in ("", LimitsAs.CLEARANCE)

    @property
    def position(self) -> PositionData:
        """What was typed, in SI."""
        said = dict(self.cleaned_data)
        planes, _by, directions = (said.pop("measured") or "0x1").partition("x")
        said["limits_as"] = said["limits_as"] or LimitsAs.CLEARANCE.value
        return PositionData(**said, planes=int(planes), directions=int(directions))

    @staticmethod
    def told_by(row: Position) -> dict[str, Any]:
        """Return what a position says, as this form begins with it."""
        said = {field.name: getattr(row, field.name) for field in fields_of(PositionData)}
        if row.limits_as != LimitsAs.CLEARANCE:
            # they follow from what was given
            said["as_built_least"] = said["as_built_most"] = None
        if row.speed_ratio is not None:
            said["speed_ratio"] = f"{row.speed_ratio:g}"
        said["measured"] = f"{said.pop('planes')}x{said.pop('directions')}"
        return said


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


def position_rows(empty: int) -> "type[BasePositionFormSet]":
    """Return the class of a set of rows with so many empty ones behind those that are there."""
    # the factory's type knows the base class only
    return cast(
        "type[BasePositionFormSet]",
        forms.formset_factory(
            PositionForm,
            formset=BasePositionFormSet,
            extra=empty,
            max_num=MOST_POSITIONS,
            absolute_max=MOST_POSITIONS + 20,
        ),
    )
