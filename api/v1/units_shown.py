"""Units and their stays in cars, as they are told."""

from typing import Any

from rest_framework import serializers

from advisory.people.models import Organisation
from advisory.people.rules import Permission
from advisory.register.models import (
    Car,
    Design,
    Fitting,
    Unit,
)
from api.fields import ScopedRelatedField


class UnitSerializer(serializers.ModelSerializer[Unit]):
    """A unit."""

    design = ScopedRelatedField(permission=Permission.VIEW_DESIGN, queryset=Design.objects.all())
    workshop = ScopedRelatedField(
        permission=Permission.REGISTER_UNIT,
        queryset=Organisation.objects.all(),
        allow_null=True,
        required=False,
    )
    kind = serializers.CharField(source="design.kind", read_only=True)

    class Meta:
        model = Unit
        fields = ("id", "design", "kind", "workshop", "serial", "name", "created_at")
        read_only_fields = ("id", "created_at")


class FittingSerializer(serializers.ModelSerializer[Fitting]):
    """A unit's stay in a car."""

    car = ScopedRelatedField(permission=Permission.KEEP_USE, queryset=Car.objects.all())
    date = serializers.DateField(source="from_date")
    shown = serializers.IntegerField(
        source="from_reading", required=False, allow_null=True, min_value=0
    )
    confirm = serializers.BooleanField(write_only=True, default=False)

    class Meta:
        model = Fitting
        fields = ("id", "car", "date", "shown", "until_date", "until_reading", "confirm")
        read_only_fields = ("id", "until_date", "until_reading")


class UnitNameSerializer(serializers.Serializer[Any]):
    """What may be changed on a unit."""

    name = serializers.CharField(allow_blank=True, max_length=120)
    serial = serializers.CharField(allow_blank=True, max_length=60)
