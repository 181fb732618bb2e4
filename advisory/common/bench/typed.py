"""What a person types, read to the JSON that a calculator takes."""

from typing import Any

from django.utils.translation import gettext as _

from advisory.common.calculation import Field, NumberField, QuantityField, YesNoField
from advisory.common.quantities import QuantityError, read_number, read_typed

_YES = frozenset({"yes", "y", "true", "1"})
_NO = frozenset({"no", "n", "false", "0"})


class Unreadable(Exception):
    """What was typed can't be made out; the message says what to write."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


def typed_quantity(text: str, field: QuantityField, unit: str) -> dict[str, Any]:
    """Read a quantity as a person types it, to the JSON of the calculator."""
    try:
        read = read_typed(text, field.dimension, unit)
    except QuantityError as error:
        if not unit and not any(letter.isalpha() for letter in text):
            raise Unreadable(
                _("Write the unit too, such as “%(example)s”.")
                % {"example": field.dimension.example}
            ) from error
        raise Unreadable(error.message) from error
    return {"value": read.value, "unit": read.unit}


def typed_number(text: str, field: NumberField) -> float:
    """Read a bare number as a person types it, a share as a percentage too."""
    part, percent, rest = text.strip().partition("%")
    try:
        number = read_number(text if rest else part, whole=field.whole)
    except QuantityError as error:
        raise Unreadable(error.message) from error
    if percent:
        number /= 100.0
    return int(number) if number == int(number) else number


def yes_or_no(told: bool) -> str:
    """Write true or false as it stands on a form."""
    return "yes" if told else "no"


def typed_yes_or_no(text: str) -> bool:
    """Read yes or no."""
    word = text.strip().lower()
    if word not in _YES | _NO:
        raise Unreadable(_("Write yes or no."))
    return word in _YES


def typed_cell(text: str, field: Field) -> Any:
    """Read one column of a line."""
    if isinstance(field, QuantityField):
        return typed_quantity(text, field, field.unit)
    if isinstance(field, NumberField):
        return typed_number(text, field)
    if isinstance(field, YesNoField):
        return typed_yes_or_no(text)
    return text.strip()
