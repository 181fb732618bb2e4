"""What a unit's plan would be with another filter, sump or use: reckoned, and not kept."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from advisory.common.quantities import LENGTH, VOLUME
from advisory.people.rules import Permission
from advisory.plans.enums import DueBy, DueState
from advisory.plans.what_if import FILTERS, Otherwise, reckon_otherwise
from advisory.register.enums import Roads, WorkKind
from advisory.register.models import Unit
from advisory.usage.supposed import Driven
from api.fields import QuantityField
from api.scoped import find_or_404


class OtherwiseSerializer(serializers.Serializer[Any]):
    """What is supposed; what is left out is as it is."""

    filtration = serializers.ChoiceField(choices=FILTERS, required=False)
    sump_volume = QuantityField(VOLUME, "litre", required=False, help_text="such as 3.2 litre")
    annual_distance = QuantityField(LENGTH, "km", required=False, help_text="such as 9000 km")
    roads = serializers.ChoiceField(choices=Roads.choices, required=False)
    short_run_share = serializers.FloatField(required=False, min_value=0, max_value=1)

    def validate_sump_volume(self, volume: float) -> float:
        """Hold it to what a unit can hold."""
        if not 0 < volume <= 0.5:
            raise serializers.ValidationError("Give a volume above nothing, to 500 litres.")
        return volume

    def validate_annual_distance(self, distance: float) -> float:
        """Hold it to what a car can come."""
        if not 1e3 <= distance <= 2e8:
            raise serializers.ValidationError("Give a yearly distance from 1 to 200,000 km.")
        return distance


class PlannedSerializer(serializers.Serializer[Any]):
    """When one kind of work is due."""

    state = serializers.ChoiceField(choices=DueState.choices)
    due_distance = QuantityField(LENGTH, "km", allow_null=True)
    due_date = serializers.DateField(allow_null=True)
    forecast_date = serializers.DateField(allow_null=True)
    limited_by = serializers.ChoiceField(choices=DueBy.choices)


class MovedSerializer(serializers.Serializer[Any]):
    """One kind of work as it is planned and as it would be; null where it isn't needed."""

    work = serializers.ChoiceField(choices=WorkKind.choices)
    now = PlannedSerializer(allow_null=True)
    then = PlannedSerializer(allow_null=True)
    days = serializers.IntegerField(allow_null=True, help_text="later; negative: sooner")


class WhatIfView(APIView):
    """A unit's plan, reckoned otherwise."""

    @extend_schema(parameters=[OtherwiseSerializer], responses=MovedSerializer(many=True))
    def get(self, request: Request, pk: int) -> Response:
        """Reckon the plan as it is and as it would be; nothing is kept."""
        units = Unit.objects.select_related("design__workshop", "workshop", "owner")
        unit = find_or_404(request, Permission.VIEW_USE, units, pk)
        wanted = OtherwiseSerializer(data=request.query_params)
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        driven = Driven(
            annual_distance=said.get("annual_distance"),
            roads=said.get("roads"),
            short_run_share=said.get("short_run_share"),
        )
        otherwise = Otherwise(
            filtration=said.get("filtration"), sump_volume=said.get("sump_volume"), driven=driven
        )
        moved = reckon_otherwise(unit, otherwise)
        return Response(MovedSerializer(moved, many=True).data)
