"""Form fields for what is typed with a unit."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from advisory.common.quantities import Dimension, QuantityError, from_si, read_typed

UNIT_WORDS: dict[str, Promise | str] = {
    "litre": _("litres"),
    "imperial_pint": _("pints"),
    "litre/minute": _("l/min"),
    "imperial_pint/minute": _("pints/min"),
    "degC": _("°C"),
    "degF": _("°F"),
    "thou": _("thou"),
    "mm": _("mm"),
    "inch": _("inch"),
    "km": _("km"),
    "mile": _("miles"),
    "g": _("g"),
    "mm2/s": _("mm²/s"),
    "kg/m3": _("kg/m³"),
}


class QuantityField(forms.Field):
    """A quantity as a person types it, in the field's unit or with one of its own; cleaned to SI.

    `unit` may be set anew for each form, to what its reader uses.
    """

    widget = forms.TextInput

    def __init__(self, *, dimension: Dimension, unit: str, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.dimension = dimension
        self.unit = unit
        self.widget.attrs.setdefault("inputmode", "decimal")
        self.widget.attrs.setdefault("autocomplete", "off")

    @property
    def unit_words(self) -> str:
        """The unit as it stands beside the field."""
        return str(UNIT_WORDS.get(self.unit, self.unit))

    def to_python(self, value: Any) -> float | None:
        """Read what was typed, in SI; None for an empty field."""
        text = "" if value is None else str(value).strip()
        if not text:
            return None
        try:
            return read_typed(text, self.dimension, self.unit).si
        except QuantityError as error:
            raise ValidationError(error.message, code=error.code) from error

    def prepare_value(self, value: Any) -> Any:
        """Show an SI figure in the field's unit; what was typed is shown as it was typed."""
        if isinstance(value, float | int) and not isinstance(value, bool):
            return f"{from_si(value, self.unit, self.dimension):.6g}"
        return value
