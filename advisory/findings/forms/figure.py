"""A figure on a form, in the unit beside it, unless its own is written with it."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy

from advisory.common.quantities import LENGTH, QuantityError, read_typed
from advisory.people.enums import SmallLengthUnit


class FigureForm(forms.Form):
    """A size that was measured; `confirm` answers a question about it."""

    measurement = forms.CharField(
        label=gettext_lazy("Measured there"), required=False, max_length=40
    )
    measurement_unit = forms.ChoiceField(
        label=gettext_lazy("Measured in"), choices=SmallLengthUnit.choices
    )
    confirm = forms.BooleanField(
        label=gettext_lazy("The figure and its unit are right as I typed them"), required=False
    )

    def clean(self) -> dict[str, Any]:
        """Read the figure in the unit beside it, unless its own is written with it."""
        data = super().clean() or {}
        text, unit = data.get("measurement"), data.get("measurement_unit")
        if text and unit:
            try:
                data["value"] = read_typed(text, LENGTH, unit).si
            except QuantityError as error:
                self.add_error("measurement", error.message)
            data["as_typed"] = text if any(map(str.isalpha, text)) else f"{text} {unit}"
        return data
