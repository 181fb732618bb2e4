"""The form on which an owner writes down what was measured, place by place."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from uuid import uuid4

from django import forms
from django.forms import BoundField
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.errors import Question, Refused
from advisory.common.quantities import LENGTH, QuantityError, in_words, read_typed
from advisory.findings.actions.measuring import Size, field_of, record_measuring
from advisory.findings.models import Measuring
from advisory.findings.queries import quantity_at
from advisory.people.enums import SmallLengthUnit
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.register.enums import MeasuredQuantity
from advisory.register.fields import PastDateField, ShownField
from advisory.register.forms.answered import AnsweredForm
from advisory.register.models import Position, Unit

# With what each quantity is measured, and how. Common practice, no source.
HOW: dict[str, Promise] = {
    MeasuredQuantity.RUNNING_CLEARANCE: gettext_lazy(
        "Plastic strip gauge across the dry journal, or bore gauge and micrometer."
    ),
    MeasuredQuantity.END_FLOAT: gettext_lazy(
        "Dial gauge in line with the shaft; lever it gently from end to end; the whole travel."
    ),
    MeasuredQuantity.WEAR_DEPTH: gettext_lazy(
        "Depth of the groove that the lip has worn: straight edge and feeler, or micrometer."
    ),
    MeasuredQuantity.GAP: gettext_lazy("Feeler gauge under a straight edge, at the widest place."),
}


@dataclass(frozen=True)
class PlaceToMeasure:
    """One place on the form: its field, what is measured there and how, what it is held against."""

    position: Position
    field: BoundField
    what: str
    how: str
    limits: str


class MeasureForm(AnsweredForm):
    """What was measured; every place may be left empty."""

    date = PastDateField(label=gettext_lazy("Measured on"))
    shown = ShownField(label=gettext_lazy("Odometer, as it stands there"), required=False)
    unit_of_sizes = forms.ChoiceField(
        label=gettext_lazy("Written in"), choices=SmallLengthUnit.choices
    )
    off = forms.CharField(
        label=gettext_lazy("May be off by ±"),
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    note = forms.CharField(label=gettext_lazy("Note"), required=False, max_length=500)
    confirm = forms.BooleanField(
        label=gettext_lazy("The sizes and their unit are right as I typed them"), required=False
    )
    client_key = forms.CharField(widget=forms.HiddenInput, max_length=64)

    def __init__(self, *args: Any, unit: Unit, by: Person, **kwargs: Any) -> None:
        kwargs["initial"] = {
            "unit_of_sizes": by.small_length_unit,
            "client_key": uuid4().hex,
        } | kwargs.get("initial", {})
        super().__init__(*args, by=by, **kwargs)
        self.unit, self.by = unit, by
        self.asks = False
        positions = unit.design.positions.order_by("order")
        self.positions = [position for position in positions if quantity_at(position)]
        for position in self.positions:
            self.fields[field_of(position)] = forms.CharField(
                label=position.name,
                required=False,
                max_length=40,
                widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
            )

    @property
    def places(self) -> Sequence[PlaceToMeasure]:
        """The places in their order along the shaft."""
        return [self._place(position) for position in self.positions]

    def _place(self, position: Position) -> PlaceToMeasure:
        quantity, prefs = quantity_at(position), preferences_of(self.by)
        limits = []
        if position.look_into_above is not None:
            words = in_words(position.look_into_above, "small_length", prefs)
            limits.append(_("ask above %(size)s") % {"size": words})
        if position.wear_limit is not None:
            words = in_words(position.wear_limit, "small_length", prefs)
            limits.append(_("stop at %(size)s") % {"size": words})
        return PlaceToMeasure(
            position=position,
            field=self[field_of(position)],
            what=str(MeasuredQuantity(quantity).label),
            how=str(HOW.get(quantity, "")),
            limits=", ".join(limits) or _("no limit known"),
        )

    def clean(self) -> dict[str, Any]:
        """Read each size in the unit chosen, unless its own is written with it."""
        data = super().clean() or self.cleaned_data
        unit, sizes = data.get("unit_of_sizes"), []
        off = self._read("off", data.get("off", ""), unit)
        for position in self.positions:
            name = field_of(position)
            text = data.get(name, "")
            if not text or not unit:
                continue
            value = self._read(name, text, unit)
            if value is not None:
                typed = text if any(map(str.isalpha, text)) else f"{text} {unit}"
                size = Size(position=position, value=value, as_typed=typed, uncertainty=off)
                sizes.append(size)
        data["sizes"] = sizes
        return data

    def _read(self, name: str, text: str, unit: str | None) -> float | None:
        if not text or not unit:
            return None
        try:
            return read_typed(text, LENGTH, unit).si
        except QuantityError as error:
            self.add_error(name, error.message)
            return None

    def save(self) -> Measuring | None:
        """Keep it; None where it was refused, with the reason at its field."""
        data = self.cleaned_data
        try:
            return record_measuring(
                unit=self.unit,
                by=self.by,
                measured_on=data["date"],
                sizes=data["sizes"],
                shown=data["shown"],
                note=data["note"],
                client_key=data["client_key"],
                confirm=data["confirm"],
                confirm_shown=self.confirms,
                went_round=self.went_round,
            )
        except Refused as refused:
            if isinstance(refused, Question) and (refused.field or "").startswith("value-"):
                self.asks = True
                self.add_error(refused.field, refused.message)
            else:
                self.refuse(refused)
            return None
