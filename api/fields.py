"""Quantities in the API: read from a string or an object, answered as an object."""

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from advisory.common.quantities import Dimension, QuantityError, from_si, read_quantity
from advisory.people import rules
from advisory.people.rules import Permission

QUANTITY_SCHEMA: dict[str, Any] = {
    "oneOf": [
        {"type": "string", "examples": ["1.5 thou", "4.5 litre", "6000 mile"]},
        {
            "type": "object",
            "properties": {"value": {"type": "number"}, "unit": {"type": "string"}},
            "required": ["value", "unit"],
            "additionalProperties": False,
        },
    ]
}


@extend_schema_field(QUANTITY_SCHEMA)
class QuantityField(serializers.Field[Any, Any, Any, Any]):
    """A quantity: `"1.5 thou"` or `{"value": 1.5, "unit": "thou"}` in, the object out."""

    def __init__(self, dimension: Dimension, unit: str, **kwargs: Any) -> None:
        super().__init__(**kwargs)
        self.dimension = dimension
        self.unit = unit

    def to_internal_value(self, data: Any) -> float:
        """Read it; what can't be read is said with the field's name."""
        try:
            return read_quantity(data, self.dimension).si
        except QuantityError as error:
            raise serializers.ValidationError(error.message, code=error.code) from error

    def to_representation(self, value: float) -> dict[str, Any]:
        """Answer in the API's unit for this field, without the dust of conversion."""
        return {
            "value": float(f"{from_si(value, self.unit, self.dimension):.12g}"),
            "unit": self.unit,
        }


class ScopedRelatedField(serializers.PrimaryKeyRelatedField[Any]):
    """The number of another row, among those on which the caller holds `permission`."""

    def __init__(self, *, permission: Permission, queryset: "QuerySet[Any]", **kwargs: Any) -> None:
        self.permission = permission
        self.rows = queryset
        super().__init__(queryset=queryset, **kwargs)

    def get_queryset(self) -> QuerySet[Any]:
        """Return the caller's rows; any other number does not exist for them."""
        request = self.context.get("request")
        if request is None:
            return self.rows.none()
        return rules.scope(request.user, self.permission, self.rows.all())
