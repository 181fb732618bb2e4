"""The fields that a calculator takes: declared once, read, refused and described from there."""

import math
import re
from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any, ClassVar

from django.utils.translation import gettext as _

from advisory.common.calculation.bounds import UNBOUNDED, Bounds
from advisory.common.problems import FieldError
from advisory.common.quantities import (
    LONGEST_TEXT,
    Dimension,
    QuantityError,
    from_si,
    read_quantity,
)

#: Longest list in any place: of cases, of temperatures, of readings.
LONGEST_LIST = 100_000

Values = dict[str, Any]

_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


class _Required:
    """The default of a field that has none."""

    def __repr__(self) -> str:
        return "REQUIRED"


REQUIRED = _Required()


class FieldsRefused(Exception):
    """What was given can't be used; each error names its field."""

    def __init__(self, errors: Sequence[FieldError]) -> None:
        super().__init__("; ".join(f"{error.field}: {error.message}" for error in errors))
        self.errors = tuple(errors)


def refuse(path: str, message: str, limit: str | None = None) -> FieldsRefused:
    """Make the refusal of one field."""
    return FieldsRefused([FieldError(path, message, limit)])


def _beyond(path: str, bounds: Bounds, value: float, unit: str = "") -> FieldsRefused:
    """Make the refusal of a number beyond its limits, which says both."""
    limit = bounds.in_words(unit)
    given = f"{value:g} {unit}".rstrip()
    message = _("It must be %(limit)s, not %(given)s.") % {"limit": limit, "given": given}
    return refuse(path, message, limit)


@dataclass(frozen=True, kw_only=True)
class Field(ABC):
    """A field by its name.

    `default` is written as a caller would write it. Without one (REQUIRED) the field must be
    given; None means "not known".
    """

    name: str
    description: str
    default: Any = REQUIRED

    @property
    def required(self) -> bool:
        """Whether it must be given."""
        return self.default is REQUIRED

    @cached_property
    def absent(self) -> Any:
        """The value that it has where it isn't given."""
        return None if self.default is None else self.read(self.default, self.name)

    def read(self, given: object, path: str) -> Any:
        """Return the value in SI units, or raise FieldsRefused."""
        return self._read(given, path)

    @abstractmethod
    def _read(self, given: object, path: str) -> Any:
        """Return the value in SI units, or raise FieldsRefused."""

    def form(self) -> dict[str, Any]:
        """Describe the JSON that is read, without name and default."""
        return self._form()

    @abstractmethod
    def _form(self) -> dict[str, Any]:
        """Describe the JSON that is read, without name and default."""

    def schema(self) -> dict[str, Any]:
        """Describe the field as a JSON schema."""
        described = {"description": self.description, **self.form()}
        if not self.required and self.default is not None:
            described["default"] = self.default
        return described


def quantity_form(dimension: Dimension) -> dict[str, Any]:
    """Describe the two ways in which a quantity is written."""
    return {
        "oneOf": [
            {
                "type": "string",
                "minLength": 1,
                "maxLength": LONGEST_TEXT,
                "format": f"quantity-{dimension.name.replace(' ', '-').replace('/', '-per-')}",
                "examples": [dimension.example],
            },
            {
                "type": "object",
                "properties": {
                    "value": {"type": "number"},
                    "unit": {"type": "string", "minLength": 1, "maxLength": 32},
                },
                "required": ["value", "unit"],
                "additionalProperties": False,
            },
        ],
    }


@dataclass(frozen=True, kw_only=True)
class QuantityField(Field):
    """A number with its unit; its limits are in `unit`, the value read is SI."""

    dimension: Dimension
    unit: str
    bounds: Bounds = UNBOUNDED

    def _read(self, given: object, path: str) -> float:
        try:
            si = read_quantity(given, self.dimension).si
        except QuantityError as error:
            raise refuse(path, error.message, error.limit) from error
        value = from_si(si, self.unit, self.dimension)
        if not self.bounds.hold(value):
            raise _beyond(path, self.bounds, value, self.unit)
        return si

    def _form(self) -> dict[str, Any]:
        described = quantity_form(self.dimension)
        limit = self.bounds.in_words(self.unit)
        described["title"] = f"{self.dimension.name}, {limit}" if limit else self.dimension.name
        return described


@dataclass(frozen=True, kw_only=True)
class NumberField(Field):
    """A bare number."""

    bounds: Bounds = UNBOUNDED
    whole: ClassVar[bool] = False

    def _read(self, given: object, path: str) -> float:
        if isinstance(given, bool) or not isinstance(given, int | float):
            raise refuse(path, _("A bare number is needed, such as 0.5."), "number")
        try:
            value = float(given)
        except OverflowError:
            value = math.inf
        if not math.isfinite(value):
            raise refuse(path, _("The number must be finite."), "finite")
        if self.whole and value != int(value):
            raise refuse(path, _("A whole number is needed."), "whole number")
        if not self.bounds.hold(value):
            raise _beyond(path, self.bounds, value)
        return value

    def _form(self) -> dict[str, Any]:
        return {"type": "integer" if self.whole else "number", **self.bounds.schema()}


@dataclass(frozen=True, kw_only=True)
class WholeNumberField(NumberField):
    """A bare whole number."""

    whole: ClassVar[bool] = True


@dataclass(frozen=True, kw_only=True)
class ChoiceField(Field):
    """One of a few words."""

    choices: tuple[str, ...]

    def _read(self, given: object, path: str) -> str:
        if not isinstance(given, str) or given not in self.choices:
            limit = ", ".join(self.choices)
            raise refuse(path, _("It must be one of: %(choices)s.") % {"choices": limit}, limit)
        return given

    def _form(self) -> dict[str, Any]:
        return {"type": "string", "enum": list(self.choices)}


@dataclass(frozen=True, kw_only=True)
class YesNoField(Field):
    """True or false."""

    def _read(self, given: object, path: str) -> bool:
        if not isinstance(given, bool):
            raise refuse(path, _("It must be true or false."), "true, false")
        return given

    def _form(self) -> dict[str, Any]:
        return {"type": "boolean"}


@dataclass(frozen=True, kw_only=True)
class TextField(Field):
    """A short text."""

    longest: int = 200

    def _read(self, given: object, path: str) -> str:
        if not isinstance(given, str) or not 1 <= len(given) <= self.longest:
            limit = _("text of 1 to %(n)d characters") % {"n": self.longest}
            raise refuse(path, _("It must be %(limit)s.") % {"limit": limit}, limit)
        return given

    def _form(self) -> dict[str, Any]:
        return {"type": "string", "minLength": 1, "maxLength": self.longest}


@dataclass(frozen=True, kw_only=True)
class DateField(Field):
    """A day, as ISO 8601 writes it."""

    def _read(self, given: object, path: str) -> date:
        try:
            # fromisoformat alone would read weeks and 20250131 too
            if isinstance(given, str) and _DAY.fullmatch(given):
                return date.fromisoformat(given)
        except ValueError:
            pass
        raise refuse(path, _("A date is needed, written as 2025-01-31."), "YYYY-MM-DD")

    def _form(self) -> dict[str, Any]:
        return {"type": "string", "format": "date"}


@dataclass(frozen=True, kw_only=True)
class ListField(Field):
    """A list of things of one kind; `item` says which."""

    item: Field
    at_least: int = 1
    at_most: int = LONGEST_LIST

    def _read(self, given: object, path: str) -> list[Any]:
        if not isinstance(given, list):
            raise refuse(path, _("A list is needed."), "list")
        if not self.at_least <= len(given) <= self.at_most:
            limit = _("%(least)d to %(most)d entries") % {
                "least": self.at_least,
                "most": self.at_most,
            }
            raise refuse(path, _("It must have %(limit)s.") % {"limit": limit}, limit)
        values: list[Any] = []
        errors: list[FieldError] = []
        for place, entry in enumerate(given):
            try:
                values.append(self.item.read(entry, f"{path}[{place}]"))
            except FieldsRefused as refused:
                errors.extend(refused.errors)
        if errors:
            raise FieldsRefused(errors)
        return values

    def _form(self) -> dict[str, Any]:
        return {
            "type": "array",
            "items": self.item.form(),
            "minItems": self.at_least,
            "maxItems": self.at_most,
        }


@dataclass(frozen=True, kw_only=True)
class OneOrListField(ListField):
    """One thing or a list of such things; the value read is a list only where a list came in."""

    def _read(self, given: object, path: str) -> Any:
        return (
            super()._read(given, path) if isinstance(given, list) else self.item.read(given, path)
        )

    def _form(self) -> dict[str, Any]:
        return {"anyOf": [self.item.form(), super()._form()]}


def as_mapping(given: object, path: str) -> Mapping[str, object]:
    """Return an object of JSON, or refuse what is none."""
    if not isinstance(given, Mapping):
        raise refuse(path, _("An object is needed: {“name”: value, …}."), "object")
    return given
