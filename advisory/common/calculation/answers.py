"""The figures that a calculator answers with: declared once, written and described from there."""

import math
from abc import ABC, abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from advisory.common.quantities import Dimension, from_si


@dataclass(frozen=True)
class Warned:
    """Something to mind about an answer that is given all the same."""

    code: str
    message: str

    def as_dict(self) -> dict[str, str]:
        """Write it as JSON has it."""
        return {"code": self.code, "message": self.message}


@dataclass(frozen=True)
class Answer:
    """The values of one case, in SI units, and what to mind about them."""

    values: Mapping[str, Any]
    warnings: tuple[Warned, ...] = ()
    sources: tuple[str, ...] = field(default=())


@dataclass(frozen=True, kw_only=True)
class Out(ABC):
    """A figure of the answer by its name; `nullable` where it may be null."""

    name: str
    description: str
    nullable: bool = False

    def write(self, value: Any) -> Any:
        """Write a value, SI where it has a unit, as JSON has it."""
        if value is None or (isinstance(value, float) and math.isnan(value)):
            if not self.nullable:
                raise ValueError(f"{self.name} has no value, and may not be null")
            return None
        return self._written(value)

    @abstractmethod
    def _written(self, value: Any) -> Any:
        """Write a value that is there."""

    @abstractmethod
    def _form(self) -> dict[str, Any]:
        """Describe what is written where there is a value."""

    def schema(self) -> dict[str, Any]:
        """Describe the figure as a JSON schema."""
        if not self.nullable:
            return {"description": self.description, **self._form()}
        return {"description": self.description, "anyOf": [self._form(), {"type": "null"}]}


def finite(name: str, value: Any) -> float:
    """Return a number that JSON can carry; an answer that has none is a fault of ours."""
    number = float(value)
    if not math.isfinite(number):
        raise ValueError(f"{name} is {number}")
    return number


@dataclass(frozen=True, kw_only=True)
class QuantityOut(Out):
    """A value with its unit; `per_si` instead of a dimension for a unit of another kind."""

    unit: str
    dimension: Dimension | None = None
    per_si: float = 1.0

    def _written(self, value: Any) -> dict[str, Any]:
        number = finite(self.name, value)
        if self.dimension is None:
            return {"value": number * self.per_si, "unit": self.unit}
        return {"value": from_si(number, self.unit, self.dimension), "unit": self.unit}

    def _form(self) -> dict[str, Any]:
        return {
            "type": "object",
            "properties": {"value": {"type": "number"}, "unit": {"const": self.unit}},
            "required": ["value", "unit"],
            "additionalProperties": False,
        }


@dataclass(frozen=True, kw_only=True)
class NumberOut(Out):
    """A bare number; a whole one stays whole."""

    def _written(self, value: Any) -> float:
        return value if isinstance(value, int) else finite(self.name, value)

    def _form(self) -> dict[str, Any]:
        return {"type": "number"}


@dataclass(frozen=True, kw_only=True)
class WholeOut(Out):
    """A bare whole number."""

    def _written(self, value: Any) -> int:
        return round(finite(self.name, value))

    def _form(self) -> dict[str, Any]:
        return {"type": "integer"}


@dataclass(frozen=True, kw_only=True)
class TextOut(Out):
    """A text; one of `choices` where there are any."""

    choices: tuple[str, ...] = ()

    def _written(self, value: Any) -> str:
        return str(value)

    def _form(self) -> dict[str, Any]:
        return {"type": "string", **({"enum": list(self.choices)} if self.choices else {})}


@dataclass(frozen=True, kw_only=True)
class DateOut(Out):
    """A day, as ISO 8601 writes it."""

    def _written(self, value: Any) -> str:
        return str(value.isoformat())

    def _form(self) -> dict[str, Any]:
        return {"type": "string", "format": "date"}


@dataclass(frozen=True, kw_only=True)
class YesNoOut(Out):
    """True or false."""

    def _written(self, value: Any) -> bool:
        return bool(value)

    def _form(self) -> dict[str, Any]:
        return {"type": "boolean"}


def object_schema(parts: tuple[Out, ...]) -> dict[str, Any]:
    """Describe an object that has all of these parts and no others."""
    return {
        "type": "object",
        "properties": {part.name: part.schema() for part in parts},
        "required": [part.name for part in parts],
        "additionalProperties": False,
    }


@dataclass(frozen=True, kw_only=True)
class ObjectOut(Out):
    """Several figures under one name; the value is a mapping."""

    parts: tuple[Out, ...]

    def _written(self, value: Mapping[str, Any]) -> dict[str, Any]:
        return {part.name: part.write(value[part.name]) for part in self.parts}

    def _form(self) -> dict[str, Any]:
        return object_schema(self.parts)


@dataclass(frozen=True, kw_only=True)
class ListOut(Out):
    """A list of things of one kind; `item` says which."""

    item: Out

    def _written(self, value: Any) -> list[Any]:
        entries = value.tolist() if hasattr(value, "tolist") else value
        return [self.item.write(entry) for entry in entries]

    def _form(self) -> dict[str, Any]:
        return {"type": "array", "items": self.item.schema()}


@dataclass(frozen=True, kw_only=True)
class OneOrListOut(ListOut):
    """One thing, or a list where the input was a list."""

    def _written(self, value: Any) -> Any:
        plain = value.tolist() if hasattr(value, "tolist") else value
        return super()._written(plain) if isinstance(plain, list) else self.item.write(plain)

    def _form(self) -> dict[str, Any]:
        return {"anyOf": [self.item.schema(), super()._form()]}
