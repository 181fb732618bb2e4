"""Cars."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from advisory.common.quantities import LENGTH
from advisory.people.enums import DistanceUnit
from advisory.people.rules import Permission
from advisory.register import actions
from advisory.register.models import (
    Car,
)
from api.fields import QuantityField
from api.scoped import ScopedReadViewSet, person_of
from api.v1.usage import LogbookMixin


class CarSerializer(serializers.ModelSerializer[Car]):
    """A car and how it is used."""

    expected_annual_distance = QuantityField(LENGTH, "km", allow_null=True, required=False)

    class Meta:
        model = Car
        fields = (
            "id",
            "maker",
            "model",
            "year",
            "roads",
            "short_run_share",
            "expected_annual_distance",
        )


class NewCarSerializer(CarSerializer):
    """A car that comes into the register, with what its odometer shows."""

    odometer_unit = serializers.ChoiceField(choices=DistanceUnit.choices, default=DistanceUnit.MILE)
    odometer_digits = serializers.IntegerField(default=5, min_value=3, max_value=7)
    shown = serializers.IntegerField(required=False, min_value=0)
    shown_on = serializers.DateField(required=False)

    class Meta:
        model = Car
        fields = (
            *CarSerializer.Meta.fields,
            "odometer_unit",
            "odometer_digits",
            "shown",
            "shown_on",
        )


class CarViewSet(LogbookMixin, mixins.CreateModelMixin, mixins.UpdateModelMixin, ScopedReadViewSet):
    """The caller's cars, and those that carry a unit of the caller's workshop, with consent."""

    permission = Permission.VIEW_USE
    queryset = Car.objects.all()
    serializer_class = CarSerializer
    filterset_fields = ("year", "roads")
    http_method_names = ("get", "post", "patch", "head", "options")

    @extend_schema(request=NewCarSerializer, responses={201: CarSerializer})
    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Add a car of one's own."""
        wanted = NewCarSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        car = actions.add_car(by=person_of(request), **wanted.validated_data)
        return Response(CarSerializer(car).data, status=status.HTTP_201_CREATED)

    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Change what is said of a car; what is left out stays."""
        car = self.get_object()
        wanted = CarSerializer(car, data=request.data, partial=True)
        wanted.is_valid(raise_exception=True)
        names = [name for name in CarSerializer.Meta.fields if name != "id"]
        said = {name: getattr(car, name) for name in names} | wanted.validated_data
        return Response(
            CarSerializer(actions.change_car(car=car, by=person_of(request), **said)).data
        )
