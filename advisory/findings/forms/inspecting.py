"""Forms of a guided inspection: how far it goes, one step's answer, and its end."""

from typing import Any
from uuid import uuid4

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.errors import Question, Refused
from advisory.common.quantities import LENGTH, TEMPERATURE, QuantityError, read_typed
from advisory.findings.actions.inspecting import (
    LONGEST_WORDS,
    answer_step,
    finish_inspection,
    start_inspection,
)
from advisory.findings.enums import InspectionScope, StepOutcome
from advisory.findings.inspecting.places import LOOKED_AT
from advisory.findings.inspecting.planning import marks_for
from advisory.findings.models import Inspection, InspectionStep
from advisory.people.enums import SmallLengthUnit, TemperatureUnit
from advisory.people.models import Person
from advisory.register.enums import WorkKind
from advisory.register.fields import PastDateField, ShownField
from advisory.register.forms.answered import AnsweredForm
from advisory.register.models import Unit


def _short(label: object, **kwargs: Any) -> forms.CharField:
    return forms.CharField(
        label=label,  # type: ignore[arg-type]
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        **kwargs,
    )


class StartForm(AnsweredForm):
    """How far the round goes, and on which day."""

    scope = forms.ChoiceField(label=gettext_lazy("What you look at"), widget=forms.RadioSelect)
    date = PastDateField(label=gettext_lazy("Day"))
    client_key = forms.CharField(widget=forms.HiddenInput, max_length=64)

    def __init__(
        self, *args: Any, unit: Unit, by: Person, due: list[WorkKind], **kwargs: Any
    ) -> None:
        asked = kwargs.pop("asked", "")
        only = [WorkKind(asked)] if asked in {work.value for work in LOOKED_AT} else []
        kwargs["initial"] = {
            "client_key": uuid4().hex,
            "scope": only[0] if only else InspectionScope.DUE if due else InspectionScope.OUTSIDE,
        } | kwargs.get("initial", {})
        super().__init__(*args, by=by, **kwargs)
        self.unit, self.by = unit, by
        scope = self.fields["scope"]
        assert isinstance(scope, forms.ChoiceField)
        choices = [(one.value, str(one.label)) for one in InspectionScope]
        if not due:
            choices = [one for one in choices if one[0] != InspectionScope.DUE]
        works = dict.fromkeys([*only, *due])
        scope.choices = [*choices, *((work.value, str(work.label)) for work in works)]

    def save(self) -> Inspection | None:
        """Begin it; None where it was refused."""
        data = self.cleaned_data
        try:
            return start_inspection(
                unit=self.unit, by=self.by, scope=data["scope"], started_on=data["date"],
                client_key=data["client_key"],
            )  # fmt: skip
        except Refused as refused:
            self.refuse(refused)
            return None


class StepForm(forms.Form):
    """What came of one step; everything typed is kept when something is refused."""

    use_required_attribute = False

    value = _short(gettext_lazy("Measured"))
    value_unit = forms.ChoiceField(
        label=gettext_lazy("Measured in"), choices=SmallLengthUnit.choices, required=False
    )
    off = _short(gettext_lazy("May be off by ±"))
    confirm = forms.BooleanField(
        label=gettext_lazy("The figure and its unit are right as I typed them"), required=False
    )
    freezes_at = _short(gettext_lazy("Coolant freezes at"))
    coldest = _short(gettext_lazy("Coldest night where it stands"))
    degrees = forms.ChoiceField(
        label=gettext_lazy("Degrees"), choices=TemperatureUnit.choices, required=False
    )
    mark = forms.ChoiceField(
        label=gettext_lazy("What it looks like"), required=False, widget=forms.RadioSelect
    )
    words = forms.CharField(
        label=gettext_lazy("In your own words"),
        required=False,
        max_length=LONGEST_WORDS,
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    outcome = forms.ChoiceField(choices=StepOutcome.choices, required=False)
    client_key = forms.CharField(required=False, max_length=64)

    def __init__(self, *args: Any, step: InspectionStep, by: Person, **kwargs: Any) -> None:
        self.step, self.by, self.asks = step, by, False
        kwargs["initial"] = {
            "value": step.as_typed,
            "value_unit": by.small_length_unit,
            "degrees": by.temperature_unit,
            "mark": step.mark,
            "words": step.words,
            "off": "" if step.uncertainty is None else f"{step.uncertainty * 1e3:.4g} mm",
            "freezes_at": _celsius(step.freezes_at),
            "coldest": _celsius(step.coldest),
        }
        kwargs["auto_id"] = f"step{step.order}_%s"
        super().__init__(*args, **kwargs)
        mark = self.fields["mark"]
        assert isinstance(mark, forms.ChoiceField)
        marks = marks_for(step)
        mark.choices = [("", _("None of these")), *((one.value, one.label) for one in marks)]
        self.has_marks = bool(marks)

    def clean(self) -> dict[str, Any]:
        """Read figures in the units beside them, unless their own is written with them."""
        data = super().clean() or self.cleaned_data
        small, degrees = data.get("value_unit") or "mm", data.get("degrees") or "degC"
        data["metres"] = self._read("value", LENGTH, small)
        data["metres_off"] = self._read("off", LENGTH, small)
        data["kelvin"] = self._read("freezes_at", TEMPERATURE, degrees)
        data["kelvin_coldest"] = self._read("coldest", TEMPERATURE, degrees)
        return data

    def _read(self, name: str, dimension: Any, unit: str) -> float | None:
        text = self.cleaned_data.get(name, "")
        if not text:
            return None
        try:
            return read_typed(text, dimension, unit).si
        except QuantityError as error:
            self.add_error(name, error.message)
            return None

    def save(self) -> InspectionStep | None:
        """Write it down; None where it was refused, with the reason at its field."""
        data = self.cleaned_data
        text = data["value"]
        own_unit = any(map(str.isalpha, text))
        try:
            return answer_step(
                step=self.step, by=self.by, outcome=data["outcome"], mark=data["mark"],
                value=data["metres"],
                as_typed=text if own_unit or not text else f"{text} {data['value_unit'] or 'mm'}",
                uncertainty=data["metres_off"], freezes_at=data["kelvin"],
                coldest=data["kelvin_coldest"], words=data["words"], confirm=data["confirm"],
                client_key=data["client_key"],
            )  # fmt: skip
        except Refused as refused:
            self.asks = isinstance(refused, Question)
            field = refused.field if refused.field in self.fields else None
            self.add_error(None if field == "outcome" else field, refused.message)
            return None


class FinishForm(AnsweredForm):
    """The end of a round; the odometer is asked about where it is not believed."""

    date = PastDateField(widget=forms.HiddenInput, required=False)
    shown = ShownField(label=gettext_lazy("Odometer, as it stands there"), required=False)

    def __init__(self, *args: Any, inspection: Inspection, by: Person, **kwargs: Any) -> None:
        super().__init__(*args, by=by, **kwargs)
        self.inspection, self.by = inspection, by

    def save(self) -> Inspection | None:
        """Finish it; None where it was refused, with the reason at its field."""
        try:
            return finish_inspection(
                inspection=self.inspection, by=self.by, shown=self.cleaned_data["shown"],
                confirm_shown=self.confirms, went_round=self.went_round,
            )  # fmt: skip
        except Refused as refused:
            self.refuse(refused)
            return None


def _celsius(kelvin: float | None) -> str:
    return "" if kelvin is None else f"{kelvin - 273.15:.3g} degC"
